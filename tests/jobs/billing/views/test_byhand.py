"""Pages: an invoice by hand is shown before it is issued; the reverse charge is decided."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from html.parser import HTMLParser
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from jobs.attachments.models import Attachment
from jobs.billing.models import Invoice, PaymentRequest
from tests.factories import AT
from tests.jobs.billing.world import ask, contractor, household, pay, plan, write_by_hand

pytestmark = pytest.mark.django_db
Log = Callable[[Any], Client]
D = Decimal
PDF = b"%PDF-1.4\n1 0 obj\n<<>>\nendobj\ntrailer\n<<>>\n%%EOF\n"


@pytest.fixture(autouse=True)
def the_day(monkeypatch: Any) -> None:
    """The pages' clock stands at the day of the factories."""
    monkeypatch.setattr("jobs.kernel.clock.now", lambda: AT)


def line(**more: str) -> dict[str, Any]:
    return {
        "uid": uuid4(), "words_1": "Regrouting", "quantity_1": "2", "unit_1": "m",
        "price_1": "40.00", "rate_1": "20", "supply_on": "2026-05-14", "due_on": "2026-05-28",
        **{f"rate_{n}": "20" for n in range(2, 9)}, **more,
    }  # fmt: skip


class Fields(HTMLParser):
    """What the page's form would send, but for boxes that are not ticked."""

    def __init__(self, page: bytes) -> None:
        super().__init__()
        self.values: dict[str, str] = {}
        self.select = ""
        self.feed(page.decode())

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        said = dict(attrs)
        name = said.get("name") or ""
        if tag == "select":
            self.select = name
        if tag == "option" and "selected" in said:
            self.values[self.select] = said.get("value") or ""
        if tag == "input" and said.get("type") not in ("file", "checkbox", "radio"):
            self.values[name] = said.get("value") or ""


def filled(page: bytes) -> dict[str, Any]:
    found = Fields(page).values
    del found["csrfmiddlewaretoken"]
    return dict(found)


def test_it_is_shown_first_and_issued_only_as_it_was_shown(office: Any, client_for: Log) -> None:
    client, url = client_for(office), reverse("billing:write", args=[household().pk])
    data = line()
    at_once = client.post(url, data | {"issue": "1"})
    assert at_once.status_code == 200
    assert not Invoice.objects.exists()
    shown = filled(at_once.content)
    page = at_once.content.decode()
    assert all(figure in page for figure in ("£80.00", "£16.00", "£96.00"))
    other = client.post(url, shown | {"issue": "1", "price_1": "50.00"})
    assert other.status_code == 200
    assert "£120.00" in other.content.decode()
    assert not Invoice.objects.exists()
    for _ in range(2):
        assert client.post(url, filled(other.content) | {"issue": "1"}).status_code == 302
    assert Invoice.objects.get().gross == D("120.00")


def test_the_document_of_another_rate_stays_while_it_is_shown(office: Any, client_for: Log) -> None:
    client, url = client_for(office), reverse("billing:write", args=[household().pk])
    data = line(rate_1="5", vat_reason="conversion of a barn")
    assert "needs the document" in client.post(url, data).content.decode()
    file = SimpleUploadedFile("letter.pdf", PDF, "application/pdf")
    shown = client.post(url, data | {"file": file})
    assert shown.status_code == 200, shown.content.decode()
    assert client.post(url, filled(shown.content) | {"issue": "1"}).status_code == 302
    invoice = Invoice.objects.get()
    assert invoice.vat_document == Attachment.objects.get().uid
    assert (invoice.vat, invoice.vat_reason) == (D("4.00"), "conversion of a barn")


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"words_2": "only words"}, "quantity_2"),
        ({"quantity_1": "0"}, "quantity_1"),
        ({"price_1": "NaN"}, "price_1"),
        ({"rate_1": "17.5"}, "rate_1"),
        ({"supply_on": "2999-01-01"}, "supply_on"),
        ({"due_on": "2020-01-01"}, "due_on"),
        ({"document": str(uuid4())}, "document"),
        ({"price_1": "900.00", "simplified": "on"}, "simplified"),
    ],
)
def test_bad_input_stands_at_its_field(
    typed: dict[str, str], field: str, office: Any, client_for: Log
) -> None:
    url = reverse("billing:write", args=[household().pk])
    answer = client_for(office).post(url, line(**typed))
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert 'value="Regrouting"' in answer.content.decode()


def test_it_stands_in_the_list_on_the_money_page_and_at_its_request(
    office: Any, client_for: Log
) -> None:
    job = household()
    invoice = write_by_hand(job)
    client = client_for(office)
    assert invoice.number in client.get(reverse("billing:invoices")).content.decode()
    money = client.get(reverse("billing:job", args=[job.pk])).content.decode()
    assert f"{invoice.number}</a> VAT invoice of Thu 14 May 2026, outside the plan" in money
    request = PaymentRequest.objects.get()
    assert invoice.number in client.get(request.get_absolute_url()).content.decode()


def test_the_page_shows_both_ways_and_asks_which_it_is(office: Any, client_for: Log) -> None:
    job = contractor(end_user_confirmed=True)
    plan(job)
    job.customer.end_user_confirmed = False
    job.customer.save()
    receipt_page = reverse("billing:issue_receipt", args=[pay(ask(job)).pk])
    request = ask(job, 1)
    client, url = client_for(office), reverse("billing:issue_request", args=[request.pk])
    page = client.get(url).content.decode()
    assert "As the conditions say" in page
    assert "As the plan says" in page
    assert page.index("£750.00") < page.index("£900.00")
    assert "£300.00" in client.get(receipt_page).content.decode()
    data = {"uid": uuid4(), "supply_on": "2026-05-14"}
    refused = client.post(url, data)
    assert refused.status_code == 422
    assert {"reverse", "reverse_reason"} <= set(refused.context["form"].errors)
    done = client.post(url, data | {"reverse": "yes", "reverse_reason": "no statement on file"})
    assert done.status_code == 302
    invoice = Invoice.objects.get()
    assert (invoice.gross, invoice.reverse_vat) == (D("750.00"), D("150.00"))
    assert "no statement on file" in client.get(invoice.get_absolute_url()).content.decode()


def test_what_the_customer_says_he_kept_back_stands_beside_what_we_reckoned(
    office: Any, client_for: Log
) -> None:
    job = contractor()
    invoice = write_by_hand(job)  # £100, no materials: £20.00 at 20 %
    request = PaymentRequest.objects.get()
    client = client_for(office)
    form = client.get(reverse("billing:receive", args=[request.pk])).content.decode()
    assert 'value="80.00"' in form
    assert 'value="20.00"' in form
    pay(request, "70.00", cis_deducted=D("30.00"))
    for url in (
        request.get_absolute_url(), invoice.get_absolute_url(),
        reverse("billing:job", args=[job.pk]),
    ):  # fmt: skip
        page = client.get(url).content.decode()
        assert "£30.00" in page
        assert "+£10.00" in page, url
