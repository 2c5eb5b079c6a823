"""Subcontractors' rates, statements and months; and the books re-added."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from decimal import Decimal

from django.conf import settings
from django.db.models import Exists, OuterRef, Sum

from jobs.billing.queries import Difference
from jobs.billing.rules import Excluded, deduct, tax_month_end
from jobs.costing.models import CostEntry, Hours
from jobs.kernel.money import ZERO, round_line
from jobs.subcontract.models import (
    SubcontractBill,
    Subcontractor,
    SubcontractPayment,
    Verification,
)
from jobs.subcontract.rules import KINDS, Rate, Statement, StatementRow, Verified, rate_on

SOURCE = "jobs.subcontract"


def cost_key(bill: SubcontractBill) -> str:
    """Return the key under which a bill's cost is posted."""
    return f"{SOURCE}:{bill.pk}"


def excluded_of(bill: SubcontractBill) -> Excluded:
    """Return what of a bill is no labour."""
    return Excluded(**{kind: getattr(bill, kind) for kind in KINDS})


def rate_of(subcontractor: Subcontractor, day: date) -> Rate:
    """Return at which rate a payment of that day is deducted from, and why: one query."""
    rows = Verification.objects.filter(subcontractor=subcontractor, verified_on__lte=day)
    return rate_on(
        [Verified(row.pk, row.percent, row.reference, row.verified_on) for row in rows], day
    )


def standing_bill(subcontractor: Subcontractor, key: str) -> SubcontractBill | None:
    """Return the bill of that number that was not taken back."""
    rows = SubcontractBill.objects.all().standing()
    found: SubcontractBill | None = rows.filter(subcontractor=subcontractor, number_key=key).first()
    return found


def standing_payment(bill: SubcontractBill) -> SubcontractPayment | None:
    """Return the payment of a bill that was not taken back."""
    found: SubcontractPayment | None = (
        SubcontractPayment.objects.all().standing().filter(bill=bill).first()
    )
    return found


def hours_counted(subcontractor: Subcontractor, job_id: int) -> Decimal:
    """Return what the hours of this person on this job have cost already."""
    if subcontractor.person_id is None:
        return ZERO
    rows = Hours.objects.filter(person_id=subcontractor.person_id, job_id=job_id, withdrawn_at=None)
    return sum((round_line(Decimal(row.minutes) / 60 * row.hourly) for row in rows), ZERO)


def counted_twice() -> list[SubcontractBill]:
    """Return bills for labour of somebody whose hours were entered after: one query.

    Those for which it was said that the labour is for other work are left out.
    """
    hours = Hours.objects.filter(
        job=OuterRef("job"), person=OuterRef("subcontractor__person"), withdrawn_at=None
    )
    rows = SubcontractBill.objects.all().standing().filter(labour__gt=0, hours_apart=False)
    return list(rows.filter(Exists(hours)).select_related("subcontractor", "job"))


def statement_of(subcontractor: Subcontractor, month_end: date) -> Statement:
    """Return a subcontractor's statement of a tax month from what was booked: one query."""
    rows = (
        SubcontractPayment.objects.all().standing()
        .filter(bill__subcontractor=subcontractor, month_end=month_end)
        .select_related("bill__job", "verification").order_by("paid_on", "pk")
    )  # fmt: skip
    payments = list(rows)
    return Statement(
        contractor=settings.FIRM_NAME, contractor_address=settings.FIRM_ADDRESS,
        employer_reference=settings.FIRM_EMPLOYER_REFERENCE, subcontractor=subcontractor.name,
        address=subcontractor.address, utr=subcontractor.utr,
        vat_number=subcontractor.vat_number, month_end=month_end,
        rows=tuple(_row(payment) for payment in payments),
        # The number must stand on it where the higher rate was taken.
        references=tuple(
            dict.fromkeys(
                row.verification.reference for row in payments if row.verification is not None
            )
        ),
        estimated=any(row.bill.materials_estimated for row in payments),
    )  # fmt: skip


def _row(payment: SubcontractPayment) -> StatementRow:
    bill = payment.bill
    return StatementRow(
        bill.number, bill.job.reference, payment.paid_on, payment.gross - payment.vat,
        payment.excluded, payment.taxed, payment.percent, payment.deduction, payment.vat,
        payment.paid,
    )  # fmt: skip


def months_of(subcontractor: Subcontractor) -> list[date]:
    """Return the tax months in which something stands as paid, the latest first: one query."""
    rows = SubcontractPayment.objects.all().standing().filter(bill__subcontractor=subcontractor)
    return list(rows.order_by("-month_end").values_list("month_end", flat=True).distinct())


def month_sums(month_end: date) -> dict[str, Decimal]:
    """Return the sums of a tax month over all subcontractors, counter-entries taken off."""
    names = ("gross", "vat", "excluded", "taxed", "deduction", "paid")
    rows = SubcontractPayment.objects.all().of_month(month_end)
    found = rows.order_by().aggregate(**{name: Sum(name) for name in names})
    return {name: found[name] or ZERO for name in names}


def audit_subcontract() -> list[Difference]:
    """Re-reckon every payment, counter-entry and cost of a bill; return what does not agree."""
    return [*_payments(), *_counters(), *_costs()]


def _payments() -> Iterator[Difference]:
    for row in SubcontractPayment.objects.filter(reverses=None).select_related("bill"):
        bill = row.bill
        found = deduct(
            gross=bill.net + bill.vat, vat=bill.vat, excluded=excluded_of(bill),
            percent=row.percent,
        )  # fmt: skip
        if (row.gross, row.deduction, row.paid) != (found.gross, found.tax, found.paid):
            yield Difference(
                f"{bill.number}: deducted under CIS", f"{row.deduction:.2f}", f"{found.tax:.2f}"
            )
        if row.month_end != tax_month_end(row.paid_on):
            yield Difference(
                f"{bill.number}: tax month", str(row.month_end), str(tax_month_end(row.paid_on))
            )


def _counters() -> Iterator[Difference]:
    for row in SubcontractPayment.objects.exclude(reverses=None).select_related("reverses", "bill"):
        first = row.reverses
        if first is not None and (row.paid, row.deduction, row.month_end) != (
            -first.paid, -first.deduction, first.month_end,
        ):  # fmt: skip
            yield Difference(
                f"{row.bill.number}: payment taken back", f"{first.paid:.2f}", f"{row.paid:.2f}"
            )
    for bill in SubcontractBill.objects.exclude(reverses=None).select_related("reverses"):
        other = bill.reverses
        if other is not None and (bill.net, bill.vat) != (-other.net, -other.vat):
            yield Difference(
                f"{bill.number}: bill taken back", f"{other.net:.2f}", f"{bill.net:.2f}"
            )


def _costs() -> Iterator[Difference]:
    posted = dict(
        CostEntry.objects.filter(source=SOURCE).values_list("key", "amount")
    )  # every bill and counter-entry has its own
    for bill in SubcontractBill.objects.all():
        found = posted.get(cost_key(bill))
        if found != bill.net:
            said = "no cost" if found is None else f"{found:.2f}"
            yield Difference(f"{bill.number}: cost of the job", f"{bill.net:.2f}", said)
