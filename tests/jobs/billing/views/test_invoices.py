"""Pages of invoices: list, ages, export, issuing, crediting, sending, late payment, the PDF."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from jobs.attachments.queries import read_bytes
from jobs.audit.models import Event
from jobs.billing.models import Invoice
from jobs.billing.queries import pdf_of
from jobs.outbox.models import Message
from tests.factories import AT, DAY
from tests.jobs.billing.world import (
    ask,
    before_money,
    contractor,
    credit,
    deposit_invoiced,
    draw,
    drawn_quickly,
    household,
    invoice_request,
    pay,
    plan,
)

pytestmark = pytest.mark.django_db
Log = Callable[[Any], Client]
D = Decimal
MONEY = re.compile("\N{MINUS SIGN}?£[0-9,]+\\.[0-9]{2}")


@pytest.fixture(autouse=True)
def the_day(monkeypatch: Any) -> None:
    """The pages' clock stands at the day of the factories."""
    monkeypatch.setattr("jobs.kernel.clock.now", lambda: AT)


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_a_fixed_number_of_queries(
    count: int, office: Any, client_for: Log, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        deposit_invoiced()
    client, url = client_for(office), reverse("billing:invoices")
    client.get(url)
    # Session, user, two of permissions; count, rows, four sums of the foot.
    with django_assert_num_queries(10):
        page = client.get(url).content.decode()
    assert page.count("INV-2026-") == count


def test_the_list_tells_how_long_money_is_due(office: Any, client_for: Log) -> None:
    late = {days: before_money(due_on=DAY) for days in (0, 1, 30, 31, 60, 61, 90, 91)}
    paid = deposit_invoiced()
    from django.db import connection

    from jobs.kernel.appendonly import install_triggers, remove_triggers

    remove_triggers()
    with connection.cursor() as cursor:
        for days, row in late.items():
            due = DAY - timedelta(days=days)
            cursor.execute("UPDATE jobs_invoice SET due_on = %s WHERE id = %s", [due, row.pk])
    install_triggers()
    client = client_for(office)

    def of_age(age: str) -> set[int]:
        page = client.get(reverse("billing:invoices"), {"age": age}).content.decode()
        assert paid.number not in page
        return {days for days, row in late.items() if row.number in page}

    ages = {age: of_age(age) for age in ("not_due", "to_30", "to_60", "to_90", "over_90")}
    assert ages == {
        "not_due": {0}, "to_30": {1, 30}, "to_60": {31, 60}, "to_90": {61, 90}, "over_90": {91},
    }  # fmt: skip


def test_totals_re_added_from_the_exported_file_are_the_pages(office: Any, client_for: Log) -> None:
    first = deposit_invoiced()
    credit(first, {20: "33.33"})
    before_money()
    client, url = client_for(office), reverse("billing:invoices")
    page = client.get(url).content.decode()
    rows = list(csv.DictReader(io.StringIO(client.get(url, {"export": "csv"}).content.decode())))
    rows = [row for row in rows if row["Number"] != "in all"]
    assert len(rows) == 3
    foot = MONEY.findall(page[page.index("<tfoot") :])
    for name, shown in zip(("Before VAT", "VAT", "With VAT", "Open"), foot, strict=True):
        assert sum(D(row[name]) for row in rows) == D(shown.replace(",", "").strip("£"))
    for row in rows:
        assert D(row["Before VAT"]) + D(row["VAT"]) == D(row["With VAT"])


def test_issuing_is_one_press_and_a_second_press_issues_nothing(
    office: Any, client_for: Log
) -> None:
    job = household()
    plan(job)
    receipt = pay(ask(job))
    client, url = client_for(office), reverse("billing:issue_receipt", args=[receipt.pk])
    page = client.get(url).content.decode()
    assert all(figure in page for figure in ("£250.00", "£50.00", "£300.00"))
    data = {"uid": uuid4()}
    for _ in range(2):
        answer = client.post(url, data)
        assert answer.status_code == 302
    invoice = Invoice.objects.get()
    assert answer.headers["Location"] == invoice.get_absolute_url()
    again = client.post(url, {"uid": uuid4()})
    assert again.status_code == 422
    assert "INV-2026-0001 was issued for this already" in again.content.decode()


def test_issuing_without_a_plan_says_so(office: Any, client_for: Log) -> None:
    from tests.jobs.billing.roles import receipt

    url = reverse("billing:issue_receipt", kwargs=receipt().kwargs)
    answer = client_for(office).post(url, {"uid": uuid4()})
    assert answer.status_code == 422
    assert "payment plan" in answer.content.decode()


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"supply_on": "2999-01-01"}, "supply_on"),
        ({"supply_on": "soon"}, "supply_on"),
        ({"materials": "-1"}, "materials"),
        ({"materials": "9999999.00"}, "materials"),
        ({"materials": "NaN"}, "materials"),
        ({"uid": "x"}, "uid"),
    ],
)
def test_bad_input_stands_at_its_field_and_issues_nothing(
    typed: dict[str, str], field: str, office: Any, client_for: Log
) -> None:
    job = contractor()
    plan(job)
    url = reverse("billing:issue_request", args=[ask(job).pk])
    data = {"supply_on": DAY.isoformat(), "materials": "10.00", "uid": uuid4()}
    answer = client_for(office).post(url, data | typed)
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert not Invoice.objects.exists()


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"how": "part"}, "net_20"),
        ({"how": "part", "net_20": "250.01"}, None),
        ({"how": "part", "net_20": "-1"}, "net_20"),
        ({"how": "part", "net_20": "1e9"}, "net_20"),
        ({"how": "never"}, "how"),
        ({"reason": ""}, "reason"),
    ],
)
def test_a_credit_that_cannot_be_is_refused_at_its_field(
    typed: dict[str, str], field: str | None, office: Any, client_for: Log
) -> None:
    url = reverse("billing:credit", args=[deposit_invoiced().pk])
    data = {"how": "whole", "reason": "agreed", "uid": uuid4()}
    answer = client_for(office).post(url, data | typed)
    assert answer.status_code == 422
    assert (field or "__all__") in answer.context["form"].errors
    assert Invoice.objects.count() == 1


def test_the_pdfs_text_has_the_pages_figures(office: Any, client_for: Log) -> None:
    job = contractor()
    plan(job, {20: "1234.56", 5: "0.33"}, vat_reason="conversion", vat_document=uuid4())
    invoice = invoice_request(ask(job), materials=D("100.00"))
    draw(invoice)
    client = client_for(office)
    page = client.get(invoice.get_absolute_url()).content.decode()
    answer = client.get(reverse("billing:pdf", args=[invoice.pk]))
    reader = PdfReader(io.BytesIO(answer.content))
    text = "\n".join(sheet.extract_text() for sheet in reader.pages)
    shown = {figure for figure in MONEY.findall(page) if figure in text}
    assert set(MONEY.findall(page)) == shown
    assert len(shown) > 5
    assert "reverse charge" in text.lower()
    assert f"page 1 of {len(reader.pages)}" in text
    assert invoice.number in text
    # Tagged, and says of itself that it is PDF/UA-1 (ISO 14289-1).
    root: Any = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert b"pdfuaid:part" in root["/Metadata"].get_data()
    invoice.paper.refresh_from_db()
    attachment = pdf_of(invoice)
    assert attachment is not None
    assert (invoice.paper.digest, read_bytes(attachment)) == (attachment.digest, answer.content)


def test_the_pdfs_sums_are_the_pages_row_by_row(office: Any, client_for: Log) -> None:
    invoice = deposit_invoiced()
    credit_note = credit(invoice, {20: "33.33"})
    client = client_for(office)
    for issued, total in ((invoice, "£250.00 £50.00 £300.00"), (credit_note, None)):
        draw(issued)
        page = client.get(issued.get_absolute_url()).content.decode()
        sums = page[page.index('id="sums"') :]
        rows = re.findall(r"<tr[^>]*>(.*?)</tr>", sums[: sums.index("</table>")])[1:]
        data = client.get(reverse("billing:pdf", args=[issued.pk])).content
        text = " ".join(PdfReader(io.BytesIO(data)).pages[0].extract_text().split())
        for row in rows:
            assert " ".join(MONEY.findall(row)) in text
        assert total is None or f"in all {total}" in text
        assert len(rows) == 2


def test_an_invoice_goes_once_with_its_pdf(office: Any, client_for: Log) -> None:
    invoice = deposit_invoiced()
    client, url = client_for(office), reverse("billing:send", args=[invoice.pk])
    early = client.post(url, {"to": "a@home.example"})
    assert early.status_code == 422
    assert "not drawn yet" in early.content.decode()
    drawn_quickly(invoice)
    for to in ("a@home.example", "b@home.example"):
        assert client.post(url, {"to": to}).status_code == 302
    message = Message.objects.get()
    assert Event.objects.filter(verb="send_invoice").count() == 1
    invoice.paper.refresh_from_db()
    assert (message.to, message.attachments) == (
        "a@home.example", [str(invoice.paper.attachment_uid)],
    )  # fmt: skip
    assert "£300.00" in message.body
    page = client.get(invoice.get_absolute_url()).content.decode()
    assert f"message to a@home.example: {message.get_state_display()}" in page
    assert url not in page
    assert "<h1>VAT invoice INV-2026-0001</h1>" in page


def test_late_payment_is_reckoned_for_a_business_only(
    office: Any, client_for: Log, monkeypatch: Any
) -> None:
    job = contractor(end_user_confirmed=True)
    plan(job, {20: "833.33"}, ())
    invoice = invoice_request(ask(job))
    later = AT + timedelta(days=14 + 50)
    monkeypatch.setattr("jobs.kernel.clock.now", lambda: later)
    client, url = client_for(office), reverse("billing:late", args=[invoice.pk])
    assert url in client.get(invoice.get_absolute_url()).content.decode()
    page = client.get(url, {"base_rate": "0.5", "until": str(later.date())}).content.decode()
    # The published example: £1,000 at 8.5 % is 23p a day, £11.50 in 50 days.
    assert all(figure in page for figure in ("£0.23", "£11.50", "£70.00", "no legal advice"))
    bad = client.get(url, {"base_rate": "many", "until": "2026-05-01"}).content.decode()
    assert "Fixed sum" not in bad
    home = before_money(household(), due_on=DAY)
    answer = client.get(reverse("billing:late", args=[home.pk])).content.decode()
    assert "does not apply" in answer
    assert '<form method="get" class="form"' not in answer
