"""Who may see requests for payment and record money."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

from jobs.billing.models import PaymentRequest, Receipt
from tests.factories import AT, DAY, make_job, numbers
from tests.role_rows import Row, World, only


def a_request(amount: str = "1200.00") -> PaymentRequest:
    return PaymentRequest.objects.create(
        reference=f"R-2026-{next(numbers):04d}", job=make_job(stage="won"), kind="deposit",
        words="Deposit", amount=Decimal(amount), due_on=DAY + timedelta(days=7), issued_at=AT,
    )  # fmt: skip


def request() -> World:
    data = {"amount": "1200.00", "received_on": DAY, "paid_by": "transfer", "uid": uuid4()}
    return World({"pk": a_request().pk}, data)


def receipt() -> World:
    asked = a_request()
    PaymentRequest.objects.filter(pk=asked.pk).update(received=Decimal("100.00"))
    found = Receipt.objects.create(
        request=asked, amount=Decimal("100.00"), received_on=DAY, key=uuid4(), at=AT
    )
    return World({"pk": found.pk}, {"reason": "bounced", "uid": uuid4()})


def missing() -> World:
    return World({"pk": 999_999}, {"amount": "1"})


SEE = ("owner", "office", "accountant")
MONEY = ("jobs.PaymentRequest", "jobs.Receipt")
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
ROWS = [
    Row("billing:list", "GET", only(*SEE)),
    Row("billing:request", "GET", only(*SEE), request),
    Row("billing:request", "GET", GONE, missing, "other"),
    Row("billing:receive", "GET", only(*SEE), request),
    Row("billing:receive", "POST", only(*SEE, status=302), request, models=MONEY),
    Row("billing:receive", "POST", GONE, missing, "other", MONEY),
    Row("billing:reverse", "GET", only(*SEE), receipt),
    Row("billing:reverse", "POST", only(*SEE, status=302), receipt, models=MONEY),
]
