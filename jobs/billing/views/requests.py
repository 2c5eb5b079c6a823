"""Requests for payment and receipts."""

from __future__ import annotations

from typing import Any

from django.shortcuts import get_object_or_404

from jobs.billing import services
from jobs.billing.filters import RequestFilter
from jobs.billing.forms import ReceiptForm, ReverseForm, SendForm, WithdrawForm
from jobs.billing.models import Invoice, PaymentRequest, Receipt
from jobs.billing.queries import (
    kept_back_of,
    receipts_to_invoice,
    request_message,
    request_words,
)
from jobs.billing.tables import RequestTable, state_of
from jobs.kernel.clock import london_day
from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.views import ConfirmView, RoomPage, ServiceFormView

SEE = "jobs.see_billing"
RECORD = "jobs.record_payment"


class RequestList(RoomListView):
    permission = SEE
    title = "Requests for payment"
    table_class = RequestTable
    filterset_class = RequestFilter
    search_fields = ("reference", "job__reference", "job__title", "job__customer__name")
    search_hint = "A request, a job or a customer"
    empty = "Nothing has been asked for yet. Accepting a quote asks for its deposit."
    actions = (
        Action("Invoices", "billing:invoices", SEE, solid=False),
        Action("Subcontractors", "subcontract:list", SEE, solid=False),
    )

    def get_rows(self) -> Any:
        return PaymentRequest.objects.select_related("job").order_by("-issued_at", "-pk")


class OneRequest:
    kwargs: dict[str, Any]
    found_name = "payment_request"

    def find(self) -> PaymentRequest:
        rows = PaymentRequest.objects.select_related("job__customer")
        return get_object_or_404(rows, pk=self.kwargs["pk"])


class RequestDetail(OneRequest, RoomPage):
    permission = SEE
    template_name = "jobs/billing/request.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        request: PaymentRequest = self.found
        level, word = state_of(request)
        return super().get_context_data(
            title=f"Request {request.reference}",
            receipts=request.receipts.select_related("by", "reversed_by"),
            to_invoice=set(
                receipts_to_invoice().filter(request=request).values_list("pk", flat=True)
            ),
            invoices=Invoice.objects.filter(request=request)
            | Invoice.objects.filter(receipt__request=request),
            kept_back=kept_back_of(request),
            message=request_message(request),
            still_open=request.amount - request.received,
            level=level,
            word=word,
            **kwargs,
        )


class RecordReceipt(OneRequest, ServiceFormView):
    permission = RECORD
    form_class = ReceiptForm
    button = "Record the money"
    success_message = "Recorded."

    def get_title(self) -> str:
        return f"Money for {self.found.reference}"

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_success_url(self) -> str:
        return str(self.found.get_absolute_url())

    def get_form_kwargs(self) -> dict[str, Any]:
        customer = self.found.job.customer
        cis = customer.reports_under_cis and not customer.is_consumer
        return super().get_form_kwargs() | {"cis": cis}

    def get_initial(self) -> dict[str, Any]:
        request: PaymentRequest = self.found
        return {
            "amount": request.amount - request.received,
            "received_on": london_day(self.request.now),
        } | self.reckoned()

    def reckoned(self) -> dict[str, Any]:
        """Return what we reckoned to be kept back, and the rest as money, before any came in."""
        found = kept_back_of(self.found)
        if found is None or not found.reckoned or self.found.received:
            return {}
        return {
            "amount": self.found.amount - found.reckoned,
            "cis_deducted": found.reckoned,
        }

    def act(self, form: Any) -> Receipt:
        values = dict(form.cleaned_data)
        return services.record_receipt(
            request_id=self.found.pk,
            key=values.pop("uid"),
            by=self.request.user,
            at=self.request.now,
            **values,
        )


class ReverseReceipt(ConfirmView):
    permission = RECORD
    form_class = ReverseForm
    title = "Take this receipt back?"
    intro = "A counter-receipt takes it off; both stay in the record."
    button = "Take the receipt back"
    success_message = "Taken back."

    def find(self) -> Receipt:
        return get_object_or_404(Receipt.objects.select_related("request"), pk=self.kwargs["pk"])

    def get_back_url(self) -> str:
        return str(self.found.request.get_absolute_url())

    def get_success_url(self) -> str:
        return str(self.found.request.get_absolute_url())

    def act(self, form: Any) -> Receipt:
        return services.reverse_receipt(
            receipt_id=self.found.pk,
            reason=form.cleaned_data["reason"],
            key=form.cleaned_data["uid"],
            by=self.request.user,
            at=self.request.now,
        )


class SendRequest(OneRequest, ConfirmView):
    permission = RECORD
    form_class = SendForm
    button = "Send the request"
    success_message = "On its way; see messages for what became of it."

    def get_title(self) -> str:
        return f"Send {self.found.reference} to the customer?"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(intro=request_words(self.found), **kwargs)

    def get_initial(self) -> dict[str, Any]:
        return {"to": self.found.job.customer.email}

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self, form: Any) -> PaymentRequest:
        return services.send_request(
            request_id=self.found.pk, to=form.cleaned_data["to"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip


class WithdrawRequest(OneRequest, ConfirmView):
    permission = RECORD
    form_class = WithdrawForm
    title = "Withdraw this request?"
    intro = "It stays in the record as withdrawn; its stage can be asked for again."
    button = "Withdraw the request"
    success_message = "Withdrawn."

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())

    def act(self, form: Any) -> PaymentRequest:
        return services.withdraw_request(
            request_id=self.found.pk, reason=form.cleaned_data["reason"],
            by=self.request.user, at=self.request.now,
        )  # fmt: skip
