"""The pages of requests for payment: what is open, taking back, bad input, queries."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from jobs.audit.models import Event
from jobs.billing.models import PaymentRequest, Receipt
from jobs.billing.services import record_receipt
from jobs.outbox.models import Message
from tests.factories import AT, DAY, make_job, make_user, numbers

pytestmark = pytest.mark.django_db
Log = Callable[[Any], Client]


def ask(amount: str = "1240.00", **more: Any) -> PaymentRequest:
    values: dict[str, Any] = {
        "reference": f"R-2026-{next(numbers):04d}", "job": make_job(stage="won"),
        "kind": "deposit", "words": "Deposit", "due_on": DAY, "issued_at": AT,
    }  # fmt: skip
    return PaymentRequest.objects.create(amount=Decimal(amount), **values | more)


def receive(request: PaymentRequest, amount: str) -> Receipt:
    return record_receipt(
        request_id=request.pk, amount=Decimal(amount), received_on=DAY, paid_by="transfer",
        key=uuid4(), by=None, at=AT,
    )  # fmt: skip


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_a_fixed_number_of_queries(
    count: int, office: Any, client_for: Log, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        ask()
    client, url = client_for(office), reverse("billing:list")
    client.get(url)
    # Session, user, two of permissions; count, rows, two sums of the foot.
    with django_assert_num_queries(8):
        page = client.get(url).content.decode()
    assert page.count("£1,240.00") >= count


def test_the_list_filters_by_state(office: Any, client_for: Log) -> None:
    still, part, done, gone = ask(), ask(), ask(), ask(withdrawn_at=AT)
    receive(part, "40.00")
    receive(done, "1240.00")

    def shown(state: str) -> set[str]:
        page = client_for(office).get(reverse("billing:list"), {"state": state}).content.decode()
        return {row.reference for row in (still, part, done, gone) if row.reference in page}

    assert shown("open") == {still.reference, part.reference}
    assert shown("received") == {done.reference}
    assert shown("withdrawn") == {gone.reference}


def test_what_came_in_can_be_taken_back_once(office: Any, client_for: Log) -> None:
    request = ask()
    receipt = receive(request, "400.00")
    client, url = client_for(office), request.get_absolute_url()
    page = client.get(url).content.decode()
    back = reverse("billing:reverse", args=[receipt.pk])
    assert back in page
    assert "£840.00" in page
    assert client.post(back, {"reason": "bounced", "uid": uuid4()}).status_code == 302
    after = client.get(url).content.decode()
    assert back not in after
    assert "\N{MINUS SIGN}£400.00" in after
    again = client.post(back, {"reason": "bounced", "uid": uuid4()})
    assert again.status_code == 422
    assert "taken back already" in again.content.decode()


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"amount": "1240.01"}, "amount"),
        ({"amount": "0"}, "amount"),
        ({"amount": "-5"}, "amount"),
        ({"amount": "12.345"}, "amount"),
        ({"amount": "NaN"}, "amount"),
        ({"received_on": "2999-01-01"}, "received_on"),
        ({"received_on": "soon"}, "received_on"),
        ({"paid_by": "shells"}, "paid_by"),
        ({"uid": "x"}, "uid"),
    ],
)
def test_bad_input_stands_at_its_field_and_records_nothing(
    typed: dict[str, str], field: str, office: Any, client_for: Log
) -> None:
    request = ask()
    data = {
        "amount": "100.00", "received_on": DAY.isoformat(), "paid_by": "transfer",
        "note": "A. CUSTOMER", "uid": uuid4(),
    }  # fmt: skip
    url = reverse("billing:receive", args=[request.pk])
    answer = client_for(office).post(url, data | typed)
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert "A. CUSTOMER" in answer.content.decode()
    assert not Receipt.objects.exists()


def test_a_double_press_records_once(office: Any, client_for: Log) -> None:
    request = ask()
    data = {"amount": "100.00", "received_on": DAY.isoformat(), "paid_by": "card", "uid": uuid4()}
    url = reverse("billing:receive", args=[request.pk])
    for _ in range(2):
        assert client_for(office).post(url, data).status_code == 302
    request.refresh_from_db()
    assert (Receipt.objects.count(), request.received) == (1, Decimal("100.00"))


def test_today_names_what_is_due_and_not_here(office: Any) -> None:
    from jobs.billing.panels import overdue

    due, paid, later, gone = ask(), ask(), ask(due_on=DAY + timedelta(days=1)), ask()
    receive(paid, "1240.00")
    PaymentRequest.objects.filter(pk=gone.pk).update(withdrawn_at=AT)
    [entry] = overdue(office, AT)
    assert due.reference in entry.why
    assert later.reference not in entry.why


@pytest.mark.parametrize(("role", "may"), [("office", True), ("crew", None)])
def test_a_jobs_page_shows_what_is_open(role: str, may: bool | None, client_for: Log) -> None:
    request = ask()
    receive(request, "400.00")
    url = reverse("work:detail", args=[request.job_id])
    answer = client_for(make_user(role)).get(url)
    assert answer.status_code == 200
    page = answer.content.decode()
    assert (request.reference in page) is bool(may)
    assert (reverse("billing:receive", args=[request.pk]) in page) is bool(may)


def test_a_request_goes_once_and_says_what_where_and_that_it_is_no_invoice(
    office: Any, client_for: Log, settings: Any
) -> None:
    settings.FIRM_BANK = "Quill Bank, 00-00-00, account 11111111"
    asked = ask()
    receive(asked, "240.00")
    client, url = client_for(office), reverse("billing:send_request", args=[asked.pk])
    assert url in client.get(asked.get_absolute_url()).content.decode()
    assert f"Name {asked.reference} when you pay" in client.get(url).content.decode()

    for to in ("a@home.example", "b@home.example"):
        assert client.post(url, {"to": to}).status_code == 302

    message = Message.objects.get()
    assert (message.to, message.occasion) == ("a@home.example", f"request:{asked.pk}")
    for words in (
        f"Dear {asked.job.customer.name},", "We ask for £1,000.00 by ", asked.words,
        "Pay to Quill Bank, 00-00-00, account 11111111.", "no VAT invoice",
    ):  # fmt: skip
        assert words in message.body
    assert Event.objects.filter(verb="send_request").count() == 1
    page = client.get(asked.get_absolute_url()).content.decode()
    assert "message to a@home.example" in page
    assert url not in page


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"withdrawn_at": AT}, "was withdrawn"),
        ({"received": Decimal("1240.00")}, "All of it has come in"),
        ({"kind": "extra"}, "Its invoice asks for the money"),
    ],
)
def test_what_nobody_owes_is_not_asked_for(
    more: dict[str, Any], sentence: str, office: Any, client_for: Log
) -> None:
    asked = ask(**more)
    url = reverse("billing:send_request", args=[asked.pk])

    response = client_for(office).post(url, {"to": "a@home.example"})

    assert response.status_code == 422
    assert sentence in response.content.decode()
    assert not Message.objects.exists()
    assert url not in client_for(office).get(asked.get_absolute_url()).content.decode()
