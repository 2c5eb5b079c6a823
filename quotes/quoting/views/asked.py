"""Lines reckoned from a few figures, small jobs in one press, the sample, the VAT document."""

from __future__ import annotations

from typing import Any

from django.http import Http404
from django.urls import reverse

from jobs.attachments.services import keep_file
from jobs.kernel import clock
from jobs.kernel.errors import ServiceError
from jobs.kernel.views import ServiceActionView, ServiceFormView
from quotes.pricebook.models import FirmRates
from quotes.quoting import forms, services
from quotes.quoting.enums import LineKind
from quotes.quoting.models import Line, Revision
from quotes.quoting.views.common import WRITE, OfRevision
from quotes.quoting.views.lines import OfLine
from stock.catalogue.models import Blend


class AddAsked(OfRevision, ServiceFormView):
    """A further line of travel, hire, muck or day-work."""

    permission = WRITE
    button = "Add the line"
    success_message = "Added: {made}."

    def find(self) -> Revision:
        if self.kwargs["kind"] not in forms.ASKED_FORMS:
            raise Http404
        return super().find()

    def get_form_class(self) -> Any:
        return forms.ASKED_FORMS[self.kwargs["kind"]]

    def get_title(self) -> str:
        return forms.ASKED_FORMS[self.kwargs["kind"]].title

    def get_form_kwargs(self) -> dict[str, Any]:
        rates = FirmRates.objects.on(self.found.priced_on)
        return super().get_form_kwargs() | {"rates": rates}

    def get_initial(self) -> dict[str, Any]:
        return {"version": self.found.version}

    def act(self, form: Any) -> Line:
        return services.add_asked_line(
            revision_id=self.found.pk, kind=self.kwargs["kind"], asked=form.asked,
            words=form.cleaned_data["words"], dig_item_id=form.dig_item_id,
            version=form.cleaned_data["version"], by=self.request.user, at=self.request.now,
        )  # fmt: skip


class ChangeAsked(OfLine, ServiceFormView):
    """The figures of a line of travel, hire, muck or day-work."""

    permission = WRITE
    button = "Reckon it again"
    success_message = "Saved: {made}."

    def find(self) -> Revision:
        revision = super().find()
        if self.line.kind not in forms.ASKED_FORMS:
            raise Http404
        return revision

    def get_form_class(self) -> Any:
        return forms.ASKED_FORMS[self.line.kind]

    def get_title(self) -> str:
        return f"Figures: {self.line.words}"

    def get_form(self, form_class: Any = None) -> Any:
        form = super().get_form(form_class)
        form.fields.pop("dig", None)
        return form

    def get_initial(self) -> dict[str, Any]:
        asked: dict[str, Any] = self.line.asked
        return {"version": self.found.version, "words": self.line.words} | asked

    def act(self, form: Any) -> Line:
        return services.change_asked_line(
            line_id=self.line.pk, asked=form.asked, words=form.cleaned_data["words"],
            version=form.cleaned_data["version"], by=self.request.user, at=self.request.now,
        )  # fmt: skip


class AddSmallJob(OfRevision, ServiceActionView):
    """One press: one more small job from the price book."""

    permission = WRITE
    success_message = "Added: {made}."

    def act(self) -> Line:
        form = forms.SmallJobForm(self.request.POST)
        if not form.is_valid():
            raise ServiceError("Choose one from the list.", field="entry")
        amount = form.cleaned_data["quantity"]
        asked = {"entry": form.cleaned_data["entry"], "quantity": str(amount or 1)}
        return services.add_asked_line(
            revision_id=self.found.pk, kind=LineKind.SMALL, asked=asked,
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class NoteSample(OfRevision, ServiceFormView):
    """Which sample the customer was shown."""

    permission = WRITE
    form_class = forms.SampleForm
    title = "Sample shown"
    button = "Save the sample"
    success_message = "The sample is noted."

    def get_form_kwargs(self) -> dict[str, Any]:
        blends = Blend.objects.filter(archived_at=None) | Blend.objects.filter(
            pk=self.found.sample_blend_id
        )
        today = clock.london_day(self.request.now)
        return super().get_form_kwargs() | {"blends": blends, "today": today}

    def get_initial(self) -> dict[str, Any]:
        revision = self.found
        return {
            "version": revision.version, "blend": revision.sample_blend_id,
            "shown_on": revision.sample_shown_on, "signed_by": revision.sample_signed_by,
        }  # fmt: skip

    def act(self, form: Any) -> Revision:
        values = form.cleaned_data
        return services.note_sample(
            revision_id=self.found.pk, blend_id=values["blend"].pk if values["blend"] else None,
            shown_on=values["shown_on"], signed_by=values["signed_by"],
            version=values["version"], by=self.request.user, at=self.request.now,
        )  # fmt: skip


class AttachVatDocument(OfRevision, ServiceFormView):
    """The paper that shows why another VAT rate applies."""

    permission = WRITE
    form_class = forms.VatDocumentForm
    title = "Document of the VAT rate"
    button = "Attach it"
    success_message = "{made} is attached. Choose the rate and give the reason."

    def act(self, form: Any) -> Any:
        file = form.cleaned_data["file"]
        kept = keep_file(data=file.read(), name=file.name)
        return services.attach_vat_document(
            revision_id=self.found.pk, kept=kept, by=self.request.user, at=self.request.now
        )

    def get_success_url(self) -> str:
        return reverse("quoting:detail", args=[self.found.pk])
