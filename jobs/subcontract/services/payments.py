"""Payments of subcontractors' bills less what is deducted under CIS, by billing's calculator."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from jobs.audit.services import post_event
from jobs.billing.enums import PaidBy
from jobs.billing.rules import Deduction, deduct, tax_month_end
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.subcontract.models import SubcontractBill, Subcontractor, SubcontractPayment
from jobs.subcontract.queries import excluded_of, rate_of, standing_payment
from jobs.subcontract.rules import Rate


def show_payment(bill: SubcontractBill, paid_on: date) -> tuple[Deduction, Rate]:
    """Return what a payment of that day deducts and pays, and at which rate and why."""
    rate = rate_of(bill.subcontractor, paid_on)
    found = deduct(
        gross=bill.net + bill.vat, vat=bill.vat, excluded=excluded_of(bill), percent=rate.percent
    )
    return found, rate


@transaction.atomic(durable=True)
def pay_bill(
    *, bill_id: int, paid_on: date, paid_by: str, note: str = "", key: UUID, by: Any, at: datetime
) -> SubcontractPayment:
    """Record the payment of a whole bill less its deduction; the same key returns what stands.

    The rate is that of the day of payment, as verified by then; without a verification it is 30 %.
    Refuses (ServiceError) a bill that was taken back or is paid, and a day that has not come.
    """
    bill = SubcontractBill.objects.select_related("subcontractor").get(pk=bill_id)
    _lock(bill)
    done: SubcontractPayment | None = SubcontractPayment.objects.filter(key=key).first()
    if done is not None:
        return done
    if bill.reverses_id is not None or SubcontractBill.objects.filter(reverses=bill).exists():
        raise ServiceError("This bill was taken back; there is nothing to pay.")
    if (paid := standing_payment(bill)) is not None:
        raise ServiceError(
            f"This bill was paid on {paid.paid_on:%-d %b %Y} already.", code="paid_already"
        )
    if paid_on > london_day(at):
        raise ServiceError("That day has not come yet.", field="paid_on")
    found, rate = show_payment(bill, paid_on)
    payment = SubcontractPayment.objects.create(
        bill=bill, attempt=SubcontractPayment.objects.filter(bill=bill, reverses=None).count() + 1,
        paid_on=paid_on, month_end=tax_month_end(paid_on), paid_by=PaidBy(paid_by),
        verification_id=rate.verification, percent=rate.percent, why=rate.why[:200],
        gross=found.gross, vat=found.vat, excluded=found.excluded, taxed=found.taxed,
        deduction=found.tax, paid=found.paid, note=note[:200], key=key, at=at, by=by,
    )  # fmt: skip
    post_event(
        verb="pay_subcontractor", subject=bill, by=by, at=at, reason=rate.why,
        after={"paid": payment.paid, "deduction": payment.deduction},
    )  # fmt: skip
    return payment


def _lock(bill: SubcontractBill) -> None:
    Subcontractor.objects.select_for_update(no_key=True, of=("self",)).get(pk=bill.subcontractor_id)


@transaction.atomic(durable=True)
def take_back_payment(
    *, payment_id: int, reason: str, key: UUID, by: Any, at: datetime
) -> SubcontractPayment:
    """Take a payment back with a counter-entry in the tax month of the payment."""
    payment = SubcontractPayment.objects.select_related("bill").get(pk=payment_id)
    _lock(payment.bill)
    done: SubcontractPayment | None = SubcontractPayment.objects.filter(key=key).first()
    if done is not None:
        return done
    if (
        payment.reverses_id is not None
        or SubcontractPayment.objects.filter(reverses=payment).exists()
    ):
        raise ServiceError("This payment was taken back already.")
    if not reason.strip():
        raise ServiceError("Say why it is taken back.", field="reason")
    sums = {
        name: -getattr(payment, name)
        for name in ("gross", "vat", "excluded", "taxed", "deduction", "paid")
    }
    counter = SubcontractPayment.objects.create(
        bill=payment.bill, attempt=payment.attempt, paid_on=payment.paid_on,
        month_end=payment.month_end, paid_by=payment.paid_by,
        verification_id=payment.verification_id, percent=payment.percent, why=payment.why,
        note=reason.strip()[:200], key=key, at=at, by=by, reverses=payment, **sums,
    )  # fmt: skip
    post_event(
        verb="take_back_subcontract_payment", subject=payment.bill, by=by, at=at, reason=reason
    )
    return counter
