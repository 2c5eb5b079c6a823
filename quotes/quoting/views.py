"""Pages of quotes. Without see_margin the server leaves out cost, overhead and margin.

The page of a draft works without JavaScript; with it, the sums follow each change of the terms.
"""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel import clock
from jobs.kernel.lists import RoomListView
from jobs.kernel.panels import panels_for
from jobs.kernel.templatetags import firm
from jobs.kernel.views import RoomPage, ServiceActionView, ServiceFormView
from jobs.surveys.models import Survey
from jobs.work.models import Job
from quotes.pricebook.enums import Unit
from quotes.pricebook.rules import margin_in
from quotes.quoting import forms, queries, services
from quotes.quoting.enums import LineKind, RevisionState
from quotes.quoting.filters import QuoteFilter
from quotes.quoting.models import Line, Revision
from quotes.quoting.tables import LEVELS, QuoteTable

SEE = ("jobs.write_quote", "jobs.send_quote", "jobs.see_margin")
WRITE = "jobs.write_quote"
SEND = "jobs.send_quote"
MARGIN = "jobs.see_margin"


class QuoteList(RoomListView):
    """The newest revision of every quote."""

    permission = SEE
    title = "Quotes"
    table_class = QuoteTable
    filterset_class = QuoteFilter
    search_fields = (
        "quote__reference", "quote__job__reference", "quote__job__title",
        "quote__job__customer__name", "quote__job__site__address",
    )  # fmt: skip
    search_hint = "reference, job, customer or address"
    column_permissions = {"direct": MARGIN, "margin": MARGIN}
    empty = "No quotes yet. A quote is started from the survey of a job."

    def get_rows(self) -> QuerySet[Any]:
        return Revision.objects.for_list()


class OfRevision:
    """Pages about one revision."""

    kwargs: dict[str, Any]
    found: Any
    request: Any
    found_name = "revision"

    def find(self) -> Revision:
        rows = Revision.objects.with_job().select_related("survey")
        return get_object_or_404(rows, pk=self.kwargs["pk"])

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_success_url(self) -> str:
        return str(self.found.get_absolute_url())

    @property
    def sees_margin(self) -> bool:
        """Whether cost, overhead and margin may be told."""
        return bool(self.request.user.has_perm(MARGIN))


def money_context(revision: Revision, *, sees_margin: bool) -> dict[str, Any]:
    """Return what the sums show; nothing of cost is in it without `sees_margin`."""
    lines = list(revision.lines.select_related("work_item"))
    area = sum(line.quantity for line in lines if line.kind == LineKind.SURFACE)
    shown = [
        {
            "line": line, "unit": Unit(line.unit).label, "net": line.net,
            "kind": line.get_kind_display(), "option": line.kind == LineKind.OPTION,
            "direct": line.direct if sees_margin else None,
        }
        for line in lines
    ]  # fmt: skip
    context: dict[str, Any] = {
        "lines": shown, "sees_margin": sees_margin, "gaps": queries.gaps_of(lines), "area": area,
    }  # fmt: skip
    if sees_margin:
        margin = revision.net - revision.floor
        context["inside"] = {
            "direct": revision.direct, "overhead": revision.overhead, "floor": revision.floor,
            "margin": margin, "share": margin_in(revision.net, revision.floor),
            "per_m2": revision.net / area if area else None, "below": margin < 0,
            "hours": sum(line.labour_hours for line in lines if line.kind != LineKind.OPTION),
        }  # fmt: skip
    return context


def facts_of(revision: Revision) -> list[tuple[str, object, str]]:
    """Return what a revision is about, with the way to each."""
    job = revision.quote.job
    return [
        ("customer", job.customer.name, ""),
        ("job", job.reference, reverse("work:detail", args=[job.pk])),
        ("site", job.site.address, ""),
        ("take-off", "plan, mixes, workings", reverse("takeoff:detail", args=[revision.survey_id])),
        ("prices of", firm.day_year(revision.priced_on), ""),
        ("holds until", firm.day_year(revision.valid_until), ""),
        ("deposit", firm.percent(revision.deposit_percent), ""),
        ("sent", f"{firm.day_year(revision.sent_at)} to {revision.sent_to}", "")
        if revision.sent_at
        else ("sent", "not yet", ""),
    ]


class QuotePage(OfRevision, RoomPage):
    """One revision: lines, sums, words, what to do next."""

    permission = SEE
    template_name = "quotes/quoting/detail.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        revision, user = self.found, self.request.user
        day = clock.london_day(self.request.now)
        draft = revision.is_draft
        rise = queries.price_rise(revision, day) if revision.state in {"draft", "sent"} else None
        newest = revision.quote.revisions.order_by("-number").first()
        return super().get_context_data(
            **money_context(revision, sees_margin=self.sees_margin),
            job=revision.quote.job,
            state_level=LEVELS.get(revision.state, ""),
            facts=facts_of(revision),
            panels=panels_for(self.request, "quote", revision),
            reprice_url=reverse("quoting:reprice", args=[revision.pk]),
            revise_url=reverse("quoting:revise", args=[revision.pk]),
            rise_words=f"Direct cost is {firm.money(rise)} higher today.",
            rise_remedy="Price it again." if draft else "Make a new revision and price it again.",
            others=revision.quote.revisions.order_by("number"),
            newest=newest if newest != revision else None,
            rise=rise,
            changed=draft and queries.has_changed(revision),
            over=bool(revision.valid_until and revision.valid_until < day),
            questions=queries.open_questions(revision.survey),
            terms_form=forms.TermsForm(
                initial=forms.terms_initial(revision), see_margin=self.sees_margin
            )
            if draft
            else None,
            may_write=draft and user.has_perm(WRITE),
            may_send=draft and user.has_perm(SEND),
            may_revise=revision.state in {"sent", "declined"} and user.has_perm(WRITE),
            may_record=revision.state == RevisionState.SENT
            and user.has_perm("jobs.record_acceptance"),
            **kwargs,
        )


class StartQuote(ServiceFormView):
    """Draft a quote from the survey of a job."""

    permission = WRITE
    form_class = forms.StartForm
    found_name = "job"
    title = "Start the quote"
    button = "Draft the quote"

    def find(self) -> Job:
        return get_object_or_404(Job.objects.select_related("customer"), pk=self.kwargs["job"])

    def surveys(self) -> QuerySet[Survey]:
        return Survey.objects.filter(job=self.found).select_related("job").order_by("-visited_at")

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {
            "surveys": self.surveys(), "items": queries.measured_items(),
        }  # fmt: skip

    def get_initial(self) -> dict[str, Any]:
        survey = self.surveys().first()
        if survey is None:
            return {}
        usual = [item.pk for item in queries.usual_items(survey)]
        return {"survey": survey.pk, "work_items": usual}

    def get_back_url(self) -> str:
        return reverse("work:detail", args=[self.found.pk])

    def act(self, form: Any) -> Revision:
        return services.start_quote(
            job_id=self.found.pk, survey_id=form.cleaned_data["survey"].pk,
            work_item_ids=[item.pk for item in form.cleaned_data["work_items"]],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class ChangeTerms(OfRevision, ServiceFormView):
    """Overhead, margin, deposit, VAT and validity; the sums are worked out at once."""

    permission = WRITE
    form_class = forms.TermsForm
    title = "What the quote is reckoned with"
    button = "Work it out again"
    template_name = "quotes/quoting/terms.html"

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"see_margin": self.sees_margin}

    def get_initial(self) -> dict[str, Any]:
        return forms.terms_initial(self.found)

    def act(self, form: Any) -> Revision:
        return services.change_terms(
            revision_id=self.found.pk, values=form.values, version=form.cleaned_data["version"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip

    def form_valid(self, form: Any) -> HttpResponse:
        response = super().form_valid(form)
        if not getattr(self.request, "htmx", False) or self.made is None:
            return response
        self.found = self.made
        form = forms.TermsForm(
            initial=forms.terms_initial(self.made), see_margin=self.sees_margin
        )  # fmt: skip
        return self.render_to_response(self.get_context_data(form=form))

    def get_template_names(self) -> list[str]:
        if getattr(self.request, "htmx", False):
            return ["quotes/quoting/money.html"]
        return super().get_template_names()

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        context = super().get_context_data(**kwargs)
        if getattr(self.request, "htmx", False):
            context |= money_context(self.found, sees_margin=self.sees_margin)
            context |= {"terms_form": context["form"], "may_write": True}
        return context


class ChangeWords(OfRevision, ServiceFormView):
    """The message, what is not in the price, the terms."""

    permission = WRITE
    form_class = forms.WordsForm
    title = "Words of the quote"
    button = "Save the words"
    success_message = "The words are saved."

    def get_initial(self) -> dict[str, Any]:
        names = ("version", "message", "exclusions", "terms")
        return {name: getattr(self.found, name) for name in names}

    def act(self, form: Any) -> Revision:
        return services.change_words(
            revision_id=self.found.pk, values=form.values, version=form.cleaned_data["version"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class AddLine(OfRevision, ServiceFormView):
    """A further line."""

    permission = WRITE
    form_class = forms.AddLineForm
    title = "Add a line"
    button = "Add the line"
    success_message = "Added: {made}."

    def get_form_kwargs(self) -> dict[str, Any]:
        return super().get_form_kwargs() | {"see_margin": self.sees_margin}

    def get_initial(self) -> dict[str, Any]:
        return {"version": self.found.version, "unit": Unit.EACH, "kind": LineKind.WORK}

    def act(self, form: Any) -> Line:
        return services.add_line(
            revision_id=self.found.pk, **form.values, by=self.request.user, at=self.request.now
        )


class OfLine(OfRevision):
    """Pages about one line of a revision."""

    line: Line

    def find(self) -> Revision:
        revision = super().find()
        line = revision.lines.filter(pk=self.kwargs["line"]).first()
        if line is None:
            raise Http404
        self.line = line
        return revision


class ChangeLine(OfLine, ServiceFormView):
    """Words, quantity and price of a line."""

    template_name = "quotes/quoting/line.html"

    permission = WRITE
    form_class = forms.ChangeLineForm
    title = "Change the line"
    button = "Save the line"
    success_message = "Saved: {made}."

    def get_form_kwargs(self) -> dict[str, Any]:
        more = {"see_margin": self.sees_margin, "line": self.line}
        return super().get_form_kwargs() | more

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        names = [self.found.pk, self.line.pk]
        return super().get_context_data(
            move_url=reverse("quoting:move_line", args=names),
            remove_url=reverse("quoting:remove_line", args=names),
            **kwargs,
        )

    def get_initial(self) -> dict[str, Any]:
        line = self.line
        return {
            "version": self.found.version, "words": line.words, "fixed": line.fixed,
            "quantity": line.quantity.normalize().to_integral_value()
            if line.quantity == line.quantity.to_integral_value() else line.quantity.normalize(),
            "cost_each": round(line.other / line.quantity, 2) if line.quantity else None,
        }  # fmt: skip

    def act(self, form: Any) -> Line:
        return services.change_line(
            line_id=self.line.pk, **form.values, by=self.request.user, at=self.request.now
        )


class RemoveLine(OfLine, ServiceActionView):
    """Take a line off."""

    permission = WRITE
    success_message = "The line is gone."

    def act(self) -> Revision:
        return services.remove_line(line_id=self.line.pk, by=self.request.user, at=self.request.now)


class MoveLine(OfLine, ServiceActionView):
    """Move a line one place; `way` is up or down."""

    permission = WRITE

    def act(self) -> Revision:
        return services.move_line(
            line_id=self.line.pk, up=self.request.POST.get("way") == "up",
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class Reprice(OfRevision, ServiceActionView):
    """Bring a draft to today's survey and prices."""

    permission = WRITE
    success_message = "Priced again at today's prices."

    def act(self) -> Revision:
        return services.reprice(
            revision_id=self.found.pk, by=self.request.user, at=self.request.now
        )


class Revise(OfRevision, ServiceActionView):
    """Copy a sent or declined revision as the next draft."""

    permission = WRITE
    success_message = "Revision {made.number} is in draft; the one before stays as it was sent."

    def act(self) -> Revision:
        return services.revise(revision_id=self.found.pk, by=self.request.user, at=self.request.now)

    def get_success_url(self) -> str:
        return str((self.made or self.found).get_absolute_url())


class SendQuote(OfRevision, ServiceFormView):
    """Freeze it and let it go."""

    permission = SEND
    form_class = forms.SendForm
    template_name = "confirm_page.html"
    title = "Send the quote?"
    intro = (
        "Lines, price and words are frozen as they stand, the PDF is drawn, and a message with the "
        "PDF and a link to answer goes to the customer. A later change is a new revision."
    )
    button = "Send the quote"
    success_message = "The quote is on its way: the PDF is being drawn, then it is mailed."

    def get_initial(self) -> dict[str, Any]:
        return {"to": self.found.quote.job.customer.email}

    def act(self, form: Any) -> Revision:
        return services.send_revision(
            revision_id=self.found.pk, to=form.cleaned_data["to"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class LineWorkings(OfRevision, RoomPage):
    """How each line's cost comes about."""

    permission = MARGIN
    template_name = "quotes/quoting/workings.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(
            title="How the cost comes about",
            lines=self.found.lines.select_related("work_item"),
            **kwargs,
        )
