"""Requests for payment, and the receipts that settle them."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction

from jobs.audit.services import post_event
from jobs.billing.enums import PaidBy, RequestKind
from jobs.billing.models import PaymentRequest, Receipt
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
    key: UUID,
    by: Any,
    at: datetime,
) -> Receipt:
    """Record money received for a request; the same key again returns the receipt that stands.

    Refuses (ServiceError) an amount of nothing or more than is open, a day that has not come, and
    a request that was withdrawn.
    """
    request = PaymentRequest.objects.select_for_update(no_key=True).get(pk=request_id)
    done = Receipt.objects.filter(key=key).first()
    if done is not None:
        return done
    _check_receipt(request, amount, received_on, at)
    receipt = Receipt.objects.create(
        request=request,
        amount=amount,
        received_on=received_on,
        paid_by=PaidBy(paid_by),
        note=note[:200],
        key=key,
        at=at,
        by=by,
    )
    request.received += amount
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
        received_on=london_day(at),
        paid_by=receipt.paid_by,
        note=reason[:200],
        key=key,
        at=at,
        by=by,
        reverses=receipt,
    )
    request.received -= receipt.amount
    request.save(update_fields=["received"])
    post_event(verb="reverse_receipt", subject=request, by=by, at=at, reason=reason)
    return counter
