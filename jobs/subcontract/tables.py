"""The lists of subcontractors, of bills, and of a tax month."""

from __future__ import annotations

from datetime import date
from typing import Any

import django_tables2 as tables
from django.urls import reverse

from jobs.kernel.tables import (
    DayColumn,
    FieldBookTable,
    MoneyColumn,
    StateColumn,
    VerbColumn,
    state_word,
)
from jobs.subcontract.models import SubcontractBill, Subcontractor


def rate_word(percent: Any) -> tuple[str, str]:
    """Return (level, word) of a rate; None is one who is not verified."""
    if percent is None:
        return "look", "not verified: 30 %"
    return "", f"{percent.normalize():f} %" if percent else "paid gross"


class SubcontractorTable(FieldBookTable):
    name = tables.Column(verbose_name="Name", linkify=True)
    utr = tables.Column(verbose_name="Taxpayer reference")
    vat_number = tables.Column(verbose_name="VAT number")
    rate_now = tables.Column(verbose_name="Deduct", empty_values=())
    verified_on = DayColumn(verbose_name="Verified", accessor="last_verified")
    to_pay = MoneyColumn(verbose_name="Bills to pay")
    bill = VerbColumn("record a bill", url=lambda row: reverse("subcontract:record", args=[row.pk]))

    class Meta:
        model = Subcontractor
        fields = ("name", "utr", "vat_number", "rate_now", "verified_on", "to_pay", "bill")

    def render_rate_now(self, record: Any) -> object:
        return state_word(*rate_word(record.rate_now))

    def value_rate_now(self, record: Any) -> str:
        return rate_word(record.rate_now)[1]


def bill_state(bill: Any) -> tuple[str, str]:
    """Return (level, word) of a bill `with_state`."""
    if bill.is_back:
        return "", "taken back"
    return ("ready", "paid") if bill.is_paid else ("look", "to pay")


class BillTable(FieldBookTable):
    number = tables.Column(verbose_name="Bill", footer="in all", linkify=True)
    subcontractor = tables.Column(verbose_name="Of", order_by=("subcontractor__name",))
    job = tables.Column(verbose_name="Job", order_by=("job__reference",))
    billed_on = DayColumn(verbose_name="Dated")
    labour = MoneyColumn(verbose_name="Labour", total=True)
    net = MoneyColumn(verbose_name="Before VAT", total=True)
    vat = MoneyColumn(verbose_name="VAT", total=True)
    with_vat = MoneyColumn(verbose_name="With VAT", total=True)
    state = StateColumn(verbose_name="State", accessor="pk", orderable=False)

    class Meta:
        model = SubcontractBill
        fields = (
            "number", "subcontractor", "job", "billed_on", "labour", "net", "vat", "with_vat",
            "state",
        )  # fmt: skip

    def render_state(self, record: Any) -> object:
        return state_word(*bill_state(record))

    def value_state(self, record: Any) -> str:
        return bill_state(record)[1]


class MonthTable(FieldBookTable):
    """One row a subcontractor; amounts of payments are without VAT, as HMRC wants them."""

    name = tables.Column(verbose_name="Subcontractor", footer="in all")
    utr = tables.Column(verbose_name="Taxpayer reference")
    month_net = MoneyColumn(verbose_name="Payments without VAT", total=True)
    month_excluded = MoneyColumn(verbose_name="Materials and the like", total=True)
    month_taxed = MoneyColumn(verbose_name="Deducted on", total=True)
    month_deduction = MoneyColumn(verbose_name="Deducted", total=True)
    month_vat = MoneyColumn(verbose_name="VAT paid", total=True)
    month_paid = MoneyColumn(verbose_name="Paid out", total=True)
    statement = VerbColumn("statement", url=lambda _row: "")

    class Meta:
        model = Subcontractor
        fields = (
            "name", "utr", "month_net", "month_excluded", "month_taxed", "month_deduction",
            "month_vat", "month_paid", "statement",
        )  # fmt: skip

    def __init__(self, *args: Any, end: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.end = end
        column: Any = self.columns["statement"].column
        column.url = lambda row: reverse("subcontract:statement", args=[row.pk, self.end])
