"""Pages of subcontractors: lists, recording, paying, the month's files, the statement's PDF."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from jobs.kernel.errors import ServiceError
from jobs.subcontract.models import SubcontractBill, Subcontractor
from jobs.subcontract.queries import statement_of
from tests.factories import AT, DAY, make_job
from tests.jobs.subcontract.world import (
    UTR,
    bill,
    paid,
    payment_back,
    subcontractor,
    verified,
)

pytestmark = pytest.mark.django_db
Log = Callable[[Any], Client]
D = Decimal
MONEY = re.compile("\N{MINUS SIGN}?£[0-9,]+\\.[0-9]{2}")
END = DAY.replace(day=5, month=6)


@pytest.fixture(autouse=True)
def the_day(monkeypatch: Any) -> None:
    """The pages' clock stands at the day of the factories."""
    monkeypatch.setattr("jobs.kernel.clock.now", lambda: AT)


@pytest.mark.parametrize(
    ("name", "queries"),
    # Session, user, two of permissions; count, rows, the sums of the foot; a month's own sums.
    [("subcontract:list", 6), ("subcontract:bills", 10), ("subcontract:month", 13)],
)
@pytest.mark.parametrize("count", [1, 3])
def test_lists_cost_a_fixed_number_of_queries(
    count: int, name: str, queries: int, office: Any, client_for: Log,
    django_assert_num_queries: Any,
) -> None:  # fmt: skip
    for _ in range(count):
        paid()
    client, url = client_for(office), reverse(name)
    client.get(url)
    with django_assert_num_queries(queries):
        page = client.get(url).content.decode()
    assert page.count("Groundworks ") >= count


def test_the_list_says_who_is_not_verified_and_what_is_to_pay(office: Any, client_for: Log) -> None:
    row = subcontractor(utr=UTR, name="Kerbs and more")
    bill(row)
    client, url = client_for(office), reverse("subcontract:list")
    assert "not verified: 30 %" in client.get(url).content.decode()
    assert "£700.00" in client.get(url).content.decode()
    verified(row, 0)
    assert "paid gross" in client.get(url, {"rate": "0"}).content.decode()
    assert "Kerbs and more" not in client.get(url, {"rate": "none"}).content.decode()


def test_a_bill_is_recorded_once_and_bad_input_stands_at_its_field(
    office: Any, client_for: Log
) -> None:
    row, job = subcontractor(), make_job(stage="won")
    client, url = client_for(office), reverse("subcontract:record", args=[row.pk])
    page = client.get(url, {"job": job.pk}).content.decode()
    assert "no VAT number here" in page
    data = {
        "job": job.pk, "number": "31", "billed_on": "2026-05-13", "words": "Kerbs set",
        "labour": "800.00", "materials": "120.50", "materials_estimated": "on", "uid": uuid4(),
    }  # fmt: skip
    for wrong, field in (
        ({"labour": "-1"}, "labour"), ({"labour": "NaN"}, "labour"), ({"number": " "}, "number"),
        ({"billed_on": "2999-01-01"}, "billed_on"), ({"job": "0"}, "job"),
    ):  # fmt: skip
        answer = client.post(url, data | wrong)
        assert answer.status_code == 422
        assert field in answer.context["form"].errors
    for _ in range(2):
        assert client.post(url, data).status_code == 302
    found = SubcontractBill.objects.get()
    shown = client.get(found.get_absolute_url()).content.decode()
    assert "estimated, no proof" in shown
    # 30 % of 800: not verified.
    assert all(figure in shown for figure in ("£920.50", "£240.00", "£680.50"))
    again = client.post(url, data | {"uid": uuid4()})
    assert "is recorded already" in again.content.decode()
    assert found.number in client.get(reverse("work:detail", args=[job.pk])).content.decode()


def test_paying_shows_the_rate_of_the_day_and_why(office: Any, client_for: Log) -> None:
    row = subcontractor(utr=UTR)
    found = bill(row)
    client, url = client_for(office), reverse("subcontract:pay", args=[found.pk])
    assert "Not verified: 30 % is deducted" in client.get(url).content.decode()
    verified(row)
    page = client.get(url).content.decode()
    assert "£100.00" in page
    assert "verified 14 May 2026" in page
    data = {"paid_on": "2026-05-14", "paid_by": "transfer", "uid": uuid4()}
    assert client.post(url, data | {"paid_on": "9999-12-31"}).status_code == 422
    for _ in range(2):
        assert client.post(url, data).status_code == 302
    assert found.payments.get().deduction == D("100.00")


def test_totals_re_added_from_the_months_file_are_the_pages(office: Any, client_for: Log) -> None:
    paid()
    row = subcontractor(utr=UTR)
    verified(row)
    paid(bill(row, number="1"))
    payment_back(paid(bill(row, number="2", labour=D("33.33"))))
    paid(bill(row, number="3"), paid_on=DAY.replace(day=5))  # the month before
    client, url = client_for(office), reverse("subcontract:month")
    page = client.get(url).content.decode()
    text = client.get(url, {"export": "csv"}).content.decode()
    rows = [r for r in csv.DictReader(io.StringIO(text)) if r["Subcontractor"] != "in all"]
    foot = MONEY.findall(page[page.index("<tfoot") :])
    names = ("Payments without VAT", "Materials and the like", "Deducted on", "Deducted",
             "VAT paid", "Paid out")  # fmt: skip
    for name, shown in zip(names, foot, strict=True):
        assert sum(D(r[name]) for r in rows) == D(shown.replace(",", "").strip("£"))
    # Two of 700.00 with 200.00 materials, at 30 and at 20 %; what was taken back is not in it.
    said = [sum(D(r[name]) for r in rows) for name in names]
    assert said == [D(1400), D(400), D(1000), D(250), D(0), D(1150)]
    bills = client.get(reverse("subcontract:bills"), {"export": "csv"}).content.decode()
    listed = list(csv.DictReader(io.StringIO(bills)))[:-1]
    assert {r["With VAT"] for r in listed} == {"700.00", "233.33"}
    before = client.get(url, {"month": "2026-05-05"}).content.decode()
    assert "Tax month to 5 May 2026" in before
    assert before.count("£150.00") >= 2  # not verified by that day
    for odd in ("9999-12-31", "0001-01-01", "x"):
        assert client.get(url, {"month": odd}).status_code == 200


def test_the_statement_as_page_and_as_pdf_say_the_same(office: Any, client_for: Log) -> None:
    row = subcontractor(utr=UTR, name="Weir & Sons <Kerbs>", address="1 Fold Lane, Orrford")
    verified(row)
    paid(bill(row))
    paid(bill(row, number="B-2", labour=D("33.33"), materials_estimated=True))
    statement = statement_of(row, END)
    # 20 % of 33.33 is 6.666, half up 6.67.
    assert (statement.net, statement.deduction) == (D("933.33"), D("106.67"))
    assert statement.missing() == ()
    client = client_for(office)
    page = client.get(reverse("subcontract:statement", args=[row.pk, END])).content.decode()
    answer = client.get(reverse("subcontract:pdf", args=[row.pk, END]))
    text = " ".join(
        " ".join(sheet.extract_text() for sheet in PdfReader(io.BytesIO(answer.content)).pages)
        .split()
    )  # fmt: skip
    said = ("£933.33", "£400.00", "£533.33", "£106.67", "£826.66", UTR, "V0123456789", "123/AB456")
    for words in said:
        assert words in page
        assert words in text
    assert "Weir & Sons <Kerbs>" in text
    assert "estimated" in text
    assert "1 June" not in text
    assert (
        client.get(reverse("subcontract:pdf", args=[row.pk, DAY.replace(day=5)])).status_code == 404
    )


def test_a_statement_lacks_what_is_not_known(settings: Any) -> None:
    settings.FIRM_EMPLOYER_REFERENCE = ""
    payment = paid()
    found = statement_of(payment.bill.subcontractor, END)
    assert found.missing() == ("our employer's tax reference",)


def test_the_second_save_of_two_people_is_refused_first(office: Any, client_for: Log) -> None:
    row = subcontractor()
    client, url = client_for(office), reverse("subcontract:edit", args=[row.pk])
    assert client.post(url, {"name": "One", "version": 1}).status_code == 302
    answer = client.post(url, {"name": "Two", "version": 1})
    assert answer.status_code == 422
    assert "Somebody else saved this page" in answer.content.decode()
    assert Subcontractor.objects.get().name == "One"


def test_auditbooks_looks_at_deductions_too() -> None:
    from jobs.kernel.appendonly import install_triggers, remove_triggers
    from jobs.subcontract.models import SubcontractPayment

    payment = paid()
    out = io.StringIO()
    call_command("auditbooks", stdout=out)
    assert "Everything agrees" in out.getvalue()
    remove_triggers()
    SubcontractPayment.objects.filter(pk=payment.pk).update(deduction=1, paid=699)
    install_triggers()
    with pytest.raises(SystemExit):
        call_command("auditbooks", stdout=out)
    assert "B-1: deducted under CIS: the book says 1.00; found 150.00" in out.getvalue()


def test_who_was_put_away_is_out_of_the_list_and_sends_no_bills(
    owner: Any, client_for: Any
) -> None:
    client, open_bill = client_for(owner), bill()
    row = open_bill.subcontractor
    address = reverse("subcontract:archive", args=[row.pk])

    refused = client.post(address, follow=True)
    assert "has a bill that is not paid" in refused.content.decode()

    paid(open_bill)
    assert "was put away" in client.post(address, follow=True).content.decode()
    listed = reverse("subcontract:list")
    assert row.name not in client.get(listed).content.decode()
    assert row.name in client.get(listed, {"kept": "archived"}).content.decode()
    page = client.get(row.get_absolute_url()).content.decode()
    assert "No bill can be recorded until he is brought back." in page
    with pytest.raises(ServiceError, match="Bring him back first"):
        bill(row, number="B-2")

    client.post(reverse("subcontract:restore", args=[row.pk]), follow=True)
    assert row.name in client.get(listed).content.decode()
    assert bill(row, number="B-2").number == "B-2"
