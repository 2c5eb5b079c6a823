"""Money comes in once, never more than was asked for, and can be taken back."""

from __future__ import annotations

import threading
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid4

import pytest
from django.db import IntegrityError, connections, transaction

from jobs.billing import services
from jobs.billing.models import PaymentRequest, Receipt
from jobs.billing.queries import deposit_state
from jobs.calendar.services import sweep_findings
from jobs.kernel.errors import ServiceError
from tests.factories import AT, DAY, make_booking, make_job

pytestmark = pytest.mark.django_db(transaction=True)


def ask(amount: str = "1000.00", job: Any = None) -> PaymentRequest:
    with transaction.atomic():
        return services.post_deposit_request(
            job=job or make_job(stage="won"), amount=Decimal(amount), words="Deposit",
            due_on=DAY + timedelta(days=7), by=None, at=AT,
        )  # fmt: skip


def receive(request: PaymentRequest, amount: str, key: UUID | None = None, **more: Any) -> Receipt:
    values: dict[str, Any] = {"received_on": DAY, "paid_by": "transfer", "by": None, "at": AT}
    return services.record_receipt(
        request_id=request.pk, amount=Decimal(amount), key=key or uuid4(), **values | more
    )


def test_the_same_receipt_twice_counts_once() -> None:
    request, key = ask(), uuid4()
    assert receive(request, "400.00", key) == receive(request, "400.00", key)
    request.refresh_from_db()
    assert request.received == Decimal("400.00")


def test_a_deposit_is_settled_when_all_of_it_is_in() -> None:
    job = make_job(stage="won")
    other = make_job(stage="won")
    request = ask(job=job)
    receive(request, "400.00")
    assert deposit_state([job.pk, other.pk]) == {job.pk: "open", other.pk: "none"}
    receive(request, "600.00")
    assert deposit_state([job.pk]) == {job.pk: "settled"}


@pytest.mark.parametrize(
    ("amount", "field", "sentence"),
    [
        ("0.00", "amount", "above nothing"),
        ("-5.00", "amount", "above nothing"),
        ("1000.01", "amount", "Only £1,000.00 of this request is open"),
    ],
)
def test_an_amount_that_cannot_be_is_refused(amount: str, field: str, sentence: str) -> None:
    request = ask()
    with pytest.raises(ServiceError, match=sentence) as refused:
        receive(request, amount)
    assert refused.value.field == field
    assert not Receipt.objects.exists()


def test_money_of_tomorrow_is_refused() -> None:
    with pytest.raises(ServiceError, match="not come yet"):
        receive(ask(), "1.00", received_on=DAY + timedelta(days=1))


def test_a_receipt_taken_back_opens_the_request_again() -> None:
    request = ask()
    receipt = receive(request, "1000.00")
    services.reverse_receipt(receipt_id=receipt.pk, reason="bounced", key=uuid4(), by=None, at=AT)
    request.refresh_from_db()
    assert request.received == 0
    with pytest.raises(ServiceError, match="taken back already"):
        services.reverse_receipt(receipt_id=receipt.pk, reason="", key=uuid4(), by=None, at=AT)


def test_references_have_no_gaps_after_a_failure() -> None:
    job = make_job(stage="won")
    first = ask(job=job)
    with pytest.raises(IntegrityError):  # one deposit stands for a job at a time
        ask(job=job)
    second = ask()
    assert [first.reference, second.reference] == ["R-2026-0001", "R-2026-0002"]


def test_an_open_deposit_is_found_at_a_booking_until_it_comes_in() -> None:
    job = make_job(stage="booked")
    request = ask(job=job)
    booking = make_booking(job)
    sweep_findings(at=AT)
    assert booking.findings.get(code="deposit_open").sentence == (
        f"The deposit {request.reference} of £1,000.00 is open: £1,000.00 has not come in."
    )
    receive(request, "1000.00")
    sweep_findings(at=AT)
    assert not booking.findings.filter(code="deposit_open").exists()


@pytest.mark.postgres
def test_two_clerks_at_once_never_receive_too_much() -> None:
    request = ask()
    barrier, answers = threading.Barrier(2), []

    def press() -> None:
        try:
            barrier.wait(5)
            receive(request, "700.00")
            answers.append("in")
        except ServiceError:
            answers.append("refused")
        finally:
            connections.close_all()

    threads = [threading.Thread(target=press) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(20)
    assert sorted(answers) == ["in", "refused"]
    request.refresh_from_db()
    assert request.received == Decimal("700.00")
