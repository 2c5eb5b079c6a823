"""Requests for payment, and the receipts that settle them."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction

from jobs.audit.services import post_event
from jobs.billing.enums import PaidBy, RequestKind
from jobs.billing.models import Invoice, PaymentRequest, PlanStage, Receipt
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO
from jobs.kernel.posting import assert_in_transaction
from jobs.kernel.series import next_reference
from jobs.work.models import Job


def post_deposit_request(
    *, job: Job, amount: Decimal, words: str, due_on: date, by: Any, at: datetime
) -> PaymentRequest:
    """Ask for the deposit of a job, in the caller's transaction; it is not a VAT invoice."""
    assert_in_transaction()
    request = PaymentRequest.objects.create(
        reference=next_reference("R", london_day(at)),
        job=job,
        kind=RequestKind.DEPOSIT,
        words=words[:200],
        amount=amount,
        due_on=due_on,
        issued_at=at,
    )
    # A plan that was written first learns what asks for its deposit.
    PlanStage.objects.filter(plan__job=job, kind=RequestKind.DEPOSIT, request=None).update(
        request=request
    )
    post_event(verb="request_payment", subject=request, by=by, at=at, after={"amount": amount})
    return request


@transaction.atomic(durable=True)
def record_receipt(
    *,
    request_id: int,
    amount: Decimal,
    received_on: date,
    paid_by: str,
    note: str = "",
    cis_deducted: Decimal = ZERO,
    key: UUID,
    by: Any,
    at: datetime,
) -> Receipt:
    """Record money received for a request; the same key again returns the receipt that stands.

    `cis_deducted` is what the customer kept back under CIS; it settles the request as money does.
    Refuses (ServiceError) an amount of nothing or more than is open, a day that has not come, and
    a request that was withdrawn.
    """
    request = PaymentRequest.objects.select_for_update(no_key=True).get(pk=request_id)
    done = Receipt.objects.filter(key=key).first()
    if done is not None:
        return done
    _check_receipt(request, amount, received_on, at)
    _check_kept_back(request, amount, cis_deducted)
    receipt = Receipt.objects.create(
        request=request,
        amount=amount,
        cis_deducted=cis_deducted,
        received_on=received_on,
        paid_by=PaidBy(paid_by),
        note=note[:200],
        key=key,
        at=at,
        by=by,
    )
    request.received += amount + cis_deducted
    request.save(update_fields=["received"])
    post_event(verb="record_receipt", subject=request, by=by, at=at, after={"amount": amount})
    return receipt


def _check_receipt(
    request: PaymentRequest, amount: Decimal, received_on: date, at: datetime
) -> None:
    if request.withdrawn_at is not None:
        raise ServiceError("This request was withdrawn; nothing can be received for it.")
    if amount <= ZERO:
        raise ServiceError("Give an amount above nothing.", field="amount")
    still_open = request.amount - request.received
    if amount > still_open:
        raise ServiceError(
            f"Only £{still_open:,.2f} of this request is open; the rest needs another request.",
            field="amount",
        )
    if received_on > london_day(at):
        raise ServiceError("That day has not come yet.", field="received_on")


def _check_kept_back(request: PaymentRequest, amount: Decimal, kept_back: Decimal) -> None:
    if not kept_back:
        return
    customer = request.job.customer
    if customer.is_consumer or not customer.reports_under_cis:
        raise ServiceError(
            "This customer does not report payments under CIS, so nothing is kept back.",
            field="cis_deducted",
        )
    most = request.amount - request.received - amount
    if not 0 <= kept_back <= most:
        raise ServiceError(
            f"With this amount, at most £{most:,.2f} of the request can have been kept back.",
            field="cis_deducted",
        )


@transaction.atomic(durable=True)
def withdraw_request(*, request_id: int, reason: str, by: Any, at: datetime) -> PaymentRequest:
    """Withdraw a request that was asked in error; its stage can then be asked for again.

    Refuses (ServiceError) one for which money came in or an invoice stands.
    """
    job_id = PaymentRequest.objects.values_list("job_id", flat=True).get(pk=request_id)
    Job.objects.select_for_update(no_key=True).get(pk=job_id)
    request = PaymentRequest.objects.select_for_update(no_key=True).get(pk=request_id)
    if request.withdrawn_at is not None:
        return request
    if request.received:
        raise ServiceError("Money came in for this request; take the receipt back first.")
    if Invoice.objects.all().standing().filter(request=request).exists():
        raise ServiceError("An invoice stands for this request; credit it first.")
    request.withdrawn_at = at
    request.save(update_fields=["withdrawn_at"])
    PlanStage.objects.filter(request=request).update(request=None)
    post_event(verb="withdraw_request", subject=request, by=by, at=at, reason=reason)
    return request


@transaction.atomic(durable=True)
def reverse_receipt(*, receipt_id: int, reason: str, key: UUID, by: Any, at: datetime) -> Receipt:
    """Take a receipt back with a counter-receipt, e.g. a cheque that bounced."""
    receipt = Receipt.objects.select_related("request").get(pk=receipt_id)
    request = PaymentRequest.objects.select_for_update(no_key=True).get(pk=receipt.request_id)
    done = Receipt.objects.filter(key=key).first()
    if done is not None:
        return done
    if receipt.reverses_id is not None or Receipt.objects.filter(reverses=receipt).exists():
        raise ServiceError("This receipt was taken back already.")
    counter = Receipt.objects.create(
        request=request,
        amount=-receipt.amount,
        cis_deducted=-receipt.cis_deducted,
        received_on=london_day(at),
        paid_by=receipt.paid_by,
        note=reason[:200],
        key=key,
        at=at,
        by=by,
        reverses=receipt,
    )
    request.received -= receipt.amount + receipt.cis_deducted
    request.save(update_fields=["received"])
    post_event(verb="reverse_receipt", subject=request, by=by, at=at, reason=reason)
    return counter
