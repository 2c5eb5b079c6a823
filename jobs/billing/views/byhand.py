"""Writing an invoice outside the payment plan: typed, shown as it will read, then issued."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from django.http import HttpResponse

from jobs.attachments.queries import attachments_of
from jobs.attachments.services import keep_file
from jobs.billing import services
from jobs.billing.forms import HandInvoiceForm
from jobs.billing.models import Invoice
from jobs.billing.views.jobs import OfJob
from jobs.billing.views.requests import RECORD
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO
from jobs.kernel.views import ServiceFormView, add_refusal


class WriteInvoice(OfJob, ServiceFormView):
    """An invoice by hand. It is issued only as it was shown: other values are shown first."""

    permission = RECORD
    template_name = "jobs/billing/byhand.html"
    form_class = HandInvoiceForm
    button = "Show what it will say"
    success_message = "{made} is issued; its PDF is being drawn."

    def get_title(self) -> str:
        return f"Invoice outside the plan of {self.found.reference}"

    def get_initial(self) -> dict[str, Any]:
        today = london_day(self.request.now)
        due = today + timedelta(days=self.found.customer.terms_days)
        return {"supply_on": today, "due_on": due}

    def get_form_kwargs(self) -> dict[str, Any]:
        customer = self.found.customer
        papers = attachments_of(self.found)
        return super().get_form_kwargs() | {
            "cis": customer.reports_under_cis and not customer.is_consumer,
            "documents": [(str(row.uid), row.caption or row.name) for row in papers],
        }

    def form_valid(self, form: Any) -> HttpResponse:
        file = form.cleaned_data["file"]
        if file:
            try:
                form = self.with_document(form, file)
            except ServiceError as refusal:
                add_refusal(form, refusal)
                return self.form_invalid(form)
        if form.cleaned_data["seen"] == form.digest and "issue" in self.request.POST:
            return super().form_valid(form)
        return self.show(form)

    def with_document(self, form: Any, file: Any) -> Any:
        """Keep the file that came along and return the form with it chosen."""
        kept = keep_file(data=file.read(), name=file.name)
        paper = services.keep_evidence(
            job_id=self.found.pk, kept=kept, by=self.request.user, at=self.request.now
        )
        data = form.data.copy()
        data["document"] = str(paper.uid)
        again = HandInvoiceForm(**self.get_form_kwargs() | {"data": data, "files": None})
        again.full_clean()
        return again

    def show(self, form: Any) -> HttpResponse:
        """Answer with what the invoice will say, and the form to change or to issue it."""
        try:
            sheet, verdict = services.show_by_hand(
                self.found, self.typed(form), at=self.request.now
            )
        except ServiceError as refusal:
            add_refusal(form, refusal)
            return self.form_invalid(form)
        form.data = form.data.copy()
        form.data["seen"] = form.digest
        return self.render_to_response(
            self.get_context_data(form=form, sheet=sheet, verdict=verdict)
        )

    @staticmethod
    def typed(form: Any) -> services.HandInvoice:
        """Return what was typed as the service takes it."""
        values = form.cleaned_data
        return services.HandInvoice(
            lines=form.lines, supply_on=values["supply_on"], due_on=values["due_on"],
            simplified=values["simplified"], vat_reason=values["vat_reason"],
            vat_document=form.document_uid, note=values["note"],
            materials=values.get("materials") or ZERO,
        )  # fmt: skip

    def act(self, form: Any) -> Invoice:
        return services.issue_by_hand(
            job_id=self.found.pk, typed=self.typed(form), key=form.cleaned_data["uid"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip

    def get_success_url(self) -> str:
        return str(self.made.get_absolute_url())
