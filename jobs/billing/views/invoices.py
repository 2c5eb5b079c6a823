"""The list of invoices and the page of one: its PDF, sending it, crediting it, late payment."""

from __future__ import annotations

from datetime import date
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404

from jobs.attachments.queries import read_bytes
from jobs.billing import services
from jobs.billing.filters import InvoiceFilter
from jobs.billing.forms import CreditForm, LateForm, SendForm
from jobs.billing.models import Invoice, InvoicePaper
from jobs.billing.queries import kept_back_of, message_of, pdf_of, sheet_of, standing_of
from jobs.billing.rules import LateClaim, base_rate_day, late_claim
from jobs.billing.rules.late import NO_ADVICE
from jobs.billing.tables import InvoiceTable, standing_word
from jobs.billing.views.requests import RECORD, SEE
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.lists import RoomListView
from jobs.kernel.money import ZERO
from jobs.kernel.views import (
    ConfirmView,
    RoomPage,
    RoomPermissionMixin,
    ServiceActionView,
    add_refusal,
)


class InvoiceList(RoomListView):
    permission = SEE
    title = "Invoices"
    table_class = InvoiceTable
    filterset_class = InvoiceFilter
    search_fields = ("number", "customer_name", "job__reference", "job__title")
    search_hint = "A number, a customer or a job"
    intro = "An invoice outside a payment plan is written on the money page of its job."
    empty = "No invoice yet. When money comes in, its VAT invoice is issued on the job's page."

    def get_rows(self) -> Any:
        return Invoice.objects.all().for_list()

    def get_table_kwargs(self) -> dict[str, Any]:
        return {"on": london_day(self.request.now)}


class OneInvoice:
    kwargs: dict[str, Any]
    found: Any
    found_name = "invoice"

    def find(self) -> Any:
        rows = Invoice.objects.all().with_standing()
        rows = rows.select_related("job__customer", "credits", "receipt__request", "request")
        return get_object_or_404(rows, pk=self.kwargs["pk"])

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())


class InvoicePage(OneInvoice, RoomPage):
    """What was issued, as it was issued; what became of it beside it."""

    permission = SEE
    template_name = "jobs/billing/invoice.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        invoice, on = self.found, london_day(self.request.now)
        level, word = standing_word(invoice, on)
        due: date | None = invoice.due_on
        late = bool(invoice.open_amount and due and due < on and not invoice.consumer)
        asked = invoice.receipt.request if invoice.receipt_id else invoice.request
        return super().get_context_data(
            title=f"{invoice.kind_words} {invoice.number}",
            sheet=sheet_of(invoice), level=level, word=word, late=late,
            paper=InvoicePaper.objects.filter(invoice=invoice).first(),
            kept_back=kept_back_of(asked) if asked is not None else None,
            message=message_of(invoice),
            credit_notes=list(invoice.credit_notes.all()),
            stands=sum((row.gross for row in standing_of(invoice).values()), ZERO),
            **kwargs,
        )  # fmt: skip


class InvoicePdf(OneInvoice, RoomPermissionMixin):
    """The kept bytes of an invoice's PDF."""

    permission = SEE

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        attachment = pdf_of(self.found)
        if attachment is None:
            raise Http404
        try:
            data = read_bytes(attachment)
        except OSError as error:
            raise Http404 from error
        response = HttpResponse(data, content_type="application/pdf")
        response["Content-Disposition"] = f'inline; filename="{attachment.name}"'
        response["Cache-Control"] = "private, no-store"
        return response


class DrawInvoice(OneInvoice, ServiceActionView):
    """Have a PDF drawn again that could not be drawn."""

    permission = SEE
    success_message = "It is being drawn."

    def act(self) -> InvoicePaper:
        return services.ask_paper(
            invoice_id=self.found.pk, by=self.request.user, at=self.request.now
        )


class SendInvoice(OneInvoice, ConfirmView):
    permission = RECORD
    form_class = SendForm
    intro = "It goes once, with its PDF. A repeat of this page sends nothing more."
    button = "Send the invoice"
    success_message = "On its way; see messages for what became of it."

    def get_title(self) -> str:
        return f"Send {self.found.number} to the customer?"

    def get_initial(self) -> dict[str, Any]:
        return {"to": self.found.job.customer.email}

    def act(self, form: Any) -> Invoice:
        return services.send_invoice(
            invoice_id=self.found.pk, to=form.cleaned_data["to"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class CreditInvoice(OneInvoice, ConfirmView):
    permission = RECORD
    form_class = CreditForm
    button = "Issue the credit note"
    success_message = "{made} is issued."

    def get_title(self) -> str:
        return f"Credit {self.found.number}?"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        stands = sum((row.gross for row in standing_of(self.found).values()), ZERO)
        intro = (
            f"£{stands:,.2f} of it stands. The credit note gets a number of its own; both stay in "
            "the record, and neither can be changed."
        )
        return super().get_context_data(intro=intro, **kwargs)

    def get_form_kwargs(self) -> dict[str, Any]:
        rates = [rate for rate, row in standing_of(self.found).items() if row.net]
        return super().get_form_kwargs() | {"rates": sorted(rates, reverse=True)}

    def act(self, form: Any) -> Invoice:
        return services.issue_credit(
            invoice_id=self.found.pk, nets=form.nets, reason=form.cleaned_data["reason"],
            key=form.cleaned_data["uid"], by=self.request.user, at=self.request.now,
        )  # fmt: skip


class LatePayment(OneInvoice, RoomPage):
    """What may be claimed for an overdue invoice of a business: a reckoning, no legal advice."""

    permission = SEE
    template_name = "jobs/billing/late.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        invoice, on = self.found, london_day(self.request.now)
        form = LateForm(self.request.GET if "base_rate" in self.request.GET else None,
                        initial={"until": on})  # fmt: skip
        due = invoice.due_on or invoice.issued_on
        return super().get_context_data(
            title=f"Late payment of {invoice.number}", form=form, claim=self.claim(form, due),
            due=due, rate_day=base_rate_day(due), advice=NO_ADVICE,
            allowed=not invoice.consumer and bool(invoice.open_amount) and due < on, **kwargs,
        )  # fmt: skip

    def claim(self, form: LateForm, due: date) -> LateClaim | None:
        """Return the claim, None where it cannot be reckoned; the form then says why."""
        if not form.is_bound or not form.is_valid():
            return None
        try:
            return late_claim(
                debt=self.found.open_amount, base_rate=form.cleaned_data["base_rate"],
                due_on=due, until=form.cleaned_data["until"], consumer=self.found.consumer,
            )  # fmt: skip
        except ServiceError as refusal:
            add_refusal(form, refusal)
            return None
