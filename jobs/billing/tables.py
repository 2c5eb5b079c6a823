"""The lists of requests for payment and of invoices."""

from __future__ import annotations

from datetime import date
from typing import Any

import django_tables2 as tables

from jobs.billing.enums import Age
from jobs.billing.models import Invoice, PaymentRequest
from jobs.billing.rules import age_of
from jobs.kernel.tables import (
    DayColumn,
    FieldBookTable,
    MoneyColumn,
    StateColumn,
    VerbColumn,
    state_word,
)


def state_of(request: PaymentRequest) -> tuple[str, str]:
    """Return (level, word) of a request."""
    if request.withdrawn_at is not None:
        return "", "withdrawn"
    if request.is_settled:
        return "ready", "received"
    return "look", "part received" if request.received else "open"


class RequestTable(FieldBookTable):
    reference = tables.Column(verbose_name="Request", footer="in all")
    job = tables.Column(verbose_name="Job", order_by=("job__reference",))
    kind = tables.Column(verbose_name="For")
    amount = MoneyColumn(verbose_name="With VAT", total=True)
    received = MoneyColumn(verbose_name="Received", total=True)
    due_on = DayColumn(verbose_name="Due")
    state = StateColumn(
        verbose_name="State",
        accessor="pk",
        orderable=False,
        level=lambda row: state_of(row)[0],
    )
    open = VerbColumn("look at it", url=lambda row: row.get_absolute_url())

    class Meta:
        model = PaymentRequest
        fields = ("reference", "job", "kind", "amount", "received", "due_on", "state", "open")

    def render_state(self, record: PaymentRequest) -> object:
        return self.columns["state"].column.render(state_of(record)[1], record)

    def value_state(self, record: PaymentRequest) -> str:
        return state_of(record)[1]


LATE_LEVELS = {Age.NOT_DUE: "", Age.TO_30: "look", Age.TO_60: "look"}


def standing_word(invoice: Any, on: date) -> tuple[str, str]:
    """Return (level, word) of an invoice `with_standing`: paid, credited, or how long it is due."""
    if invoice.is_credit:
        return "", f"credits {invoice.credits.number}"
    if not invoice.gross + invoice.credited:
        return "", "credited"
    if not invoice.open_amount:
        return "ready", "paid"
    age = age_of(invoice.due_on or on, on)
    return LATE_LEVELS.get(age, "stop"), age.label


class InvoiceTable(FieldBookTable):
    number = tables.Column(
        verbose_name="Number", footer="in all", order_by=("number",), linkify=True
    )
    kind = tables.Column(verbose_name="Kind")
    job = tables.Column(verbose_name="Job", order_by=("job__reference",))
    customer_name = tables.Column(verbose_name="Customer")
    issued_on = DayColumn(verbose_name="Issued")
    due_on = DayColumn(verbose_name="Due")
    net = MoneyColumn(verbose_name="Before VAT", total=True)
    vat = MoneyColumn(verbose_name="VAT", total=True)
    gross = MoneyColumn(verbose_name="With VAT", total=True)
    open_amount = MoneyColumn(verbose_name="Open", total=True)
    age = StateColumn(verbose_name="Stands", accessor="pk", orderable=False)

    class Meta:
        model = Invoice
        fields = (
            "number", "kind", "job", "customer_name", "issued_on", "due_on", "net", "vat", "gross",
            "open_amount", "age",
        )  # fmt: skip

    def __init__(self, *args: Any, on: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.on = on

    def render_age(self, record: Invoice) -> object:
        level, word = standing_word(record, self.on)
        return state_word(level, word)

    def value_age(self, record: Invoice) -> str:
        return standing_word(record, self.on)[1]
