"""The firm's pages of a variation: drafting, sending, replacing, recording paper."""

from __future__ import annotations

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from jobs.attachments.models import Attachment
from jobs.kernel.panels import drawn_panels
from jobs.kernel.views import (
    ConfirmView,
    RoomPage,
    RoomPermissionMixin,
    ServiceActionView,
    ServiceFormView,
)
from jobs.work.models import Job
from quotes.documents.views import pdf_response
from quotes.pricebook.enums import Unit
from quotes.variations import forms, queries, services
from quotes.variations.models import ChangeLine, Variation
from quotes.variations.tables import LEVELS

SEE = ("jobs.write_quote", "jobs.send_quote", "jobs.see_margin")
WRITE = "jobs.write_quote"
SEND = "jobs.send_quote"
MARGIN = "jobs.see_margin"


class OfVariation:
    """Pages about one variation."""

    kwargs: dict[str, Any]
    found: Any
    request: Any
    found_name = "variation"

    def find(self) -> Variation:
        return get_object_or_404(queries.with_all(), pk=self.kwargs["pk"])

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_success_url(self) -> str:
        return str(self.found.get_absolute_url())

    @property
    def call(self) -> dict[str, Any]:
        """What most services here take."""
        return {"variation_id": self.found.pk, "by": self.request.user, "at": self.request.now}


class StartVariation(ServiceFormView):
    """Begin a change of a job's accepted quote."""

    permission = WRITE
    form_class = forms.StartForm
    found_name = "job"
    title = "Start a variation"
    button = "Start the variation"
    intro = "a change of what was accepted; it counts once the customer has signed it"

    def find(self) -> Job:
        found: Job = get_object_or_404(Job, pk=self.kwargs["job"])
        return found

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self, form: Any) -> Variation:
        return services.start_variation(
            job_id=self.found.pk, **form.cleaned_data, by=self.request.user, at=self.request.now
        )


def link_facts(variation: Variation) -> dict[str, Any]:
    """Return when the link was mailed, and when it or a reminder's was first opened."""
    links = list(variation.links.filter(withdrawn_at=None).order_by("created_at", "pk"))
    opened = (each.first_opened_at for each in links if each.first_opened_at)
    return {"link": links[0] if links else None, "opened_at": min(opened, default=None)}


class VariationPage(OfVariation, RoomPage):
    """One variation: lines, charges, effect on the date, what to do next."""

    permission = SEE
    template_name = "quotes/variations/detail.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        # long because: each thing on the page is named once, in its order
        variation, user, now = self.found, self.request.user, self.request.now
        lines = list(variation.lines.all())
        job, draft = variation.revision.quote.job, variation.is_draft
        sees = user.has_perm(MARGIN)
        return super().get_context_data(
            job=job, state_level=LEVELS.get(variation.state, ""), sees_margin=sees,
            lines=[{"line": line, "unit": Unit(line.unit).label} for line in lines],
            sheet=queries.sheet_of(variation, now), counted=queries.counted(variation),
            margin=variation.net - variation.direct - variation.overhead if sees else None,
            workings=[row for line in lines for row in line.workings] if sees else [],
            stakes=queries.stakes_of(job, lines) if draft else [],
            moment=queries.order_moment(job, lines, now) if draft else None,
            answer=queries.answer_of(variation),
            replacement=variation.replaced_by.first(),
            **link_facts(variation), panels=drawn_panels(self.request, "variation", variation),
            may_write=draft and user.has_perm(WRITE),
            may_send=draft and user.has_perm(SEND),
            may_replace=variation.state in {"sent", "declined", "withdrawn"}
            and user.has_perm(WRITE),
            may_mail=variation.state == "sent" and variation.pdf_uid is not None
            and user.has_perm(SEND),
            may_withdraw=variation.state == "sent" and user.has_perm(SEND),
            due=queries.due_of(variation), may_book=user.has_perm("jobs.book_crews"),
            may_record=variation.state == "sent" and user.has_perm("jobs.record_acceptance"),
            **kwargs,
        )  # fmt: skip


class ChangeVariation(OfVariation, ServiceFormView):
    """Words, days, charges and validity of a draft."""

    permission = WRITE
    form_class = forms.ChangeForm
    title = "Change the variation"
    button = "Work it out again"

    def get_initial(self) -> dict[str, Any]:
        return forms.change_initial(self.found)

    def act(self, form: Any) -> Variation:
        return services.change_variation(
            **self.call, values=form.values, version=form.cleaned_data["version"]
        )


class AddLine(OfVariation, ServiceFormView):
    """A line of a draft."""

    permission = WRITE
    form_class = forms.LineForm
    title = "Add a line"
    button = "Add the line"

    def get_form_kwargs(self) -> dict[str, Any]:
        revision = self.found.revision
        return super().get_form_kwargs() | {
            "lines": queries.agreed_lines(revision), "left": queries.left_out(revision),
            "see_margin": self.request.user.has_perm(MARGIN),
        }  # fmt: skip

    def get_initial(self) -> dict[str, Any]:
        return {"version": self.found.version}

    def act(self, form: Any) -> ChangeLine:
        return services.add_line(**self.call, **form.values)

    def get_success_url(self) -> str:
        return str(self.found.get_absolute_url())


class RemoveLine(OfVariation, ServiceActionView):
    """Take a line off a draft."""

    permission = WRITE
    success_message = "The line is off."

    def find(self) -> Variation:
        found = super().find()
        self.line = get_object_or_404(ChangeLine, pk=self.kwargs["line"], variation=found)
        return found

    def act(self) -> Variation:
        return services.remove_line(
            line_id=self.line.pk, by=self.request.user, at=self.request.now
        )  # fmt: skip


class RemoveVariation(OfVariation, ConfirmView):
    """Delete a draft."""

    permission = WRITE
    title = "Delete the draft?"
    intro = "The customer has not seen it. The job goes on as agreed."
    button = "Delete the draft"

    def act(self, form: Any) -> Job:
        del form
        return services.remove_variation(**self.call)

    def get_success_url(self) -> str:
        return str(self.made.get_absolute_url())


class SendVariation(OfVariation, ServiceFormView):
    """Freeze it and let it go."""

    permission = SEND
    form_class = forms.SendForm
    template_name = "confirm_page.html"
    title = "Send the variation?"
    intro = (
        "Lines, price and words are frozen, the PDF is drawn, and a message with the PDF and a "
        "link to answer goes to the customer. Until he signs, the job stays as agreed."
    )
    button = "Send the variation"
    success_message = "It is on its way: the PDF is being drawn, then it is mailed."

    def get_initial(self) -> dict[str, Any]:
        revision = self.found.revision
        return {"to": revision.sent_to or revision.quote.job.customer.email}

    def act(self, form: Any) -> Variation:
        return services.send_variation(**self.call, to=form.cleaned_data["to"])


class Replace(OfVariation, ServiceActionView):
    """Copy a sent one as the draft that replaces it."""

    permission = WRITE
    success_message = "The replacement is in draft; the one before stays until it is sent."

    def act(self) -> Variation:
        return services.revise_variation(**self.call)

    def get_success_url(self) -> str:
        return str((self.made or self.found).get_absolute_url())


class Withdraw(OfVariation, ServiceActionView):
    """Take a sent one back."""

    permission = SEND
    success_message = "The variation is withdrawn; its link says so."

    def act(self) -> Variation:
        return services.withdraw_variation(**self.call)


class SendLinkAgain(OfVariation, ServiceActionView):
    """Withdraw the link and mail a new one."""

    permission = SEND
    success_message = "The old link is withdrawn; a new one is on its way."

    def act(self) -> Any:
        return services.send_link_again(**self.call)

    def get_success_url(self) -> str:
        return str(self.found.get_absolute_url())


class OpenPdf(OfVariation, RoomPermissionMixin):
    """The PDF of a sent variation."""

    permission = SEE

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        uid = self.found.pdf_uid
        if uid is None:
            raise Http404
        return pdf_response(get_object_or_404(Attachment, uid=uid, removed_at=None))
