"""Invoices outside a payment plan: the same calculator, numbers and credit notes; no plan moved."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from jobs.audit.models import Event
from jobs.billing.models import Invoice, PaymentRequest
from jobs.billing.queries import (
    audit_books,
    left_to_invoice,
    money_of,
    receipts_to_invoice,
    sheet_of,
)
from jobs.billing.rules import HandLine, disagreements, missing_particulars
from jobs.billing.services import HandInvoice, issue_by_hand
from jobs.kernel.errors import ServiceError
from tests.factories import AT, DAY
from tests.jobs.billing.world import (
    ask,
    contractor,
    credit,
    household,
    invoice_money,
    pay,
    plan,
    write_by_hand,
)

pytestmark = pytest.mark.django_db
D = Decimal
TWO = (
    HandLine("Half a day of grinding", D("0.5"), "day", D("310.55"), D(20)),
    HandLine("Kerb stone", D(3), "piece", D("0.33"), D(20)),
)


def typed(*lines: HandLine, **more: Any) -> HandInvoice:
    return replace(
        HandInvoice(lines or TWO, supply_on=DAY, due_on=DAY + timedelta(days=14)), **more
    )


def test_a_job_without_a_plan_gets_an_invoice_that_is_asked_for_and_paid() -> None:
    job = household()
    invoice = write_by_hand(job, typed())
    # 0.5 × 310.55 = 155.275, half up 155.28; 3 × 0.33 = 0.99; VAT on 156.27 is 31.254.
    assert [row.net for row in invoice.lines.all()] == [D("155.28"), D("0.99")]
    assert (invoice.net, invoice.vat, invoice.gross) == (D("156.27"), D("31.25"), D("187.52"))
    assert disagreements(sheet_of(invoice)) == missing_particulars(sheet_of(invoice)) == ()
    request = PaymentRequest.objects.get()
    assert (invoice.request, request.kind, request.amount) == (request, "extra", D("187.52"))
    assert Invoice.objects.all().for_list().get().open_amount == D("187.52")
    pay(request)
    assert Invoice.objects.all().for_list().get().open_amount == 0
    assert list(receipts_to_invoice()) == []
    assert audit_books().ok
    assert Event.objects.filter(verb="issue_invoice").count() == 1


def test_the_plan_of_the_job_does_not_move() -> None:
    job = household()
    whole = plan(job)
    deposit = ask(job)
    invoice_money(pay(deposit))
    before = left_to_invoice(whole)
    extra = write_by_hand(job, typed())
    assert left_to_invoice(whole) == before
    last = ask(job, 1)
    assert last.amount == D("900.00")  # what is left of the plan, whatever was asked beside it
    invoice_money(pay(last))
    assert left_to_invoice(whole)[D(20)].gross == 0
    final = Invoice.objects.get(receipt__request=last)
    assert extra.number not in " ".join(line.words for line in final.lines.all())
    money = money_of(job, DAY)
    assert (money.agreed, money.asked, money.to_ask) == (D("1200.00"), D("1200.00"), D(0))
    assert (money.outside_invoiced, money.outside_open) == (extra.gross, extra.gross)
    assert audit_books().ok


def test_the_same_page_twice_issues_once() -> None:
    job, key = household(), uuid4()
    assert write_by_hand(job, typed(), key=key) == write_by_hand(job, typed(), key=key)
    assert PaymentRequest.objects.count() == Invoice.objects.count() == 1


def test_a_credit_note_takes_the_request_with_it() -> None:
    job = household()
    invoice = write_by_hand(job, typed(HandLine("Sweeping", D(1), "visit", D("100.00"), D(20))))
    part = credit(invoice, {20: "40.00"})
    request = PaymentRequest.objects.get()
    assert part.outside_plan
    assert (request.amount, request.withdrawn_at) == (D("72.00"), None)
    credit(invoice)
    request.refresh_from_db()
    assert request.withdrawn_at is not None
    assert sum(row.gross for row in Invoice.objects.all()) == 0
    assert audit_books().ok


def test_money_of_a_credited_one_is_not_invoiced_by_the_plan() -> None:
    job = household()
    plan(job)
    invoice = write_by_hand(job, typed())
    receipt = pay(PaymentRequest.objects.get(kind="extra"))
    credit(invoice)
    assert list(receipts_to_invoice()) == [receipt]
    with pytest.raises(ServiceError, match="outside the plan that was credited"):
        invoice_money(receipt)


def test_the_conditions_decide_the_reverse_charge_and_cis() -> None:
    line = HandLine("Edging", D(10), "m", D("40.00"), D(20))
    reverse = write_by_hand(contractor(), typed(line, materials=D("150.00")))
    assert (reverse.vat, reverse.reverse_vat, reverse.gross) == (0, D("80.00"), D("400.00"))
    assert "Reverse charge" in sheet_of(reverse).reverse_charge
    assert reverse.cis_deduction == D("50.00")  # 20 % of 250
    usual = write_by_hand(contractor(end_user_confirmed=True), typed(line))
    assert (usual.vat, usual.reverse_vat) == (D("80.00"), 0)
    assert usual.cis_deduction == D("80.00")


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"lines": ()}, "at least one line"),
        ({"lines": (HandLine("x", D(0), "m", D(1), D(20)),)}, "quantity above nothing"),
        ({"lines": (HandLine("x", D(1), "m", D(1), D("17.5")),)}, "no VAT rate of 17.5"),
        ({"lines": (*TWO, HandLine("Off", D(1), "sum", D(-999), D(20)))}, "more than there is"),
        ({"lines": (HandLine("x", D(1), "m", D(1), D(5)),)}, "needs its reason"),
        (
            {"lines": (HandLine("x", D(1), "m", D(1), D(0)),), "vat_reason": "new house"},
            "needs the document",
        ),
        ({"supply_on": DAY + timedelta(days=1)}, "has not come yet"),
        ({"due_on": DAY - timedelta(days=1)}, "has gone"),
        (
            {"lines": (HandLine("x", D(1), "m", D("208.34"), D(20)),), "simplified": True},
            "up to £250.00",
        ),
    ],
)
def test_what_is_refused_takes_no_number(change: dict[str, Any], sentence: str) -> None:
    job = household()
    with pytest.raises(ServiceError, match=sentence):
        write_by_hand(job, replace(typed(), **change))
    assert not PaymentRequest.objects.exists()
    # VAT Regulations 1995, regulation 16A: 250.00 with VAT is not above £250.
    short = replace(typed(), lines=(HandLine("x", D(1), "m", D("208.33"), D(20)),), simplified=True)
    found = write_by_hand(job, short)
    assert (found.kind, found.gross, found.number) == ("simplified", D("250.00"), "INV-2026-0001")
    with pytest.raises(ServiceError, match="sent before for something else"):
        issue_by_hand(job_id=household().pk, typed=typed(), key=found.key, by=None, at=AT)
