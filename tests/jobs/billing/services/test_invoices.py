"""Invoices follow the money, add up, are numbered without a gap, and are never changed.

Long because: each refusal has its own short test.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from jobs.billing.models import Invoice, IssuedLine, PaymentRequest
from jobs.billing.queries import (
    agreed,
    invoiced,
    kept_back_of,
    left_to_invoice,
    money_of,
    receipts_to_invoice,
    sheet_of,
)
from jobs.billing.rules import Stage, disagreements, missing_particulars
from jobs.billing.services import post_variation_to_plan, reverse_receipt
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import KeyUsedError
from tests.factories import AT, DAY
from tests.jobs.billing.world import (
    ask,
    before_money,
    contractor,
    credit,
    deposit_invoiced,
    household,
    invoice_money,
    invoice_request,
    pay,
    plan,
)

pytestmark = pytest.mark.django_db
D = Decimal
THIRDS = tuple(Stage(share, percent=D(share)) for share in ("33.33", "33.33", "33.34"))


def test_a_deposit_is_invoiced_with_the_vat_inside_the_money() -> None:
    job = household()
    plan(job)
    request = ask(job)
    assert request.amount == D("300.00")
    receipt = pay(request)
    assert list(receipts_to_invoice()) == [receipt]
    invoice = invoice_money(receipt)
    assert invoice.number == "INV-2026-0001"
    assert (invoice.net, invoice.vat, invoice.gross) == (D("250.00"), D("50.00"), D("300.00"))
    assert (invoice.supply_on, invoice.receipt) == (DAY, receipt)
    sheet = sheet_of(invoice)
    assert disagreements(sheet) == ()
    assert missing_particulars(sheet) == ()
    assert sheet.to_pay == 0
    assert list(receipts_to_invoice()) == []


def test_the_final_invoice_nets_off_what_was_invoiced_and_takes_the_remainder() -> None:
    job = household()
    whole = plan(job, {20: "999.99", 5: "0.33"}, THIRDS, vat_reason="so", vat_document=uuid4())
    for position in range(3):
        last = invoice_money(pay(ask(job, position)))
    assert left_to_invoice(whole)[D(20)].gross == 0
    assert invoiced(job.pk) == agreed(whole)
    words = [line.words for line in last.lines.all()]
    assert words[:3] == [
        f"{job.title}, as agreed", "Less invoiced by INV-2026-0001 of Thu 14 May 2026",
        "Less invoiced by INV-2026-0002 of Thu 14 May 2026",
    ]  # fmt: skip
    assert disagreements(sheet_of(last)) == ()
    asked = sum(row.amount for row in PaymentRequest.objects.filter(job=job))
    assert asked == sum(row.gross for row in agreed(whole).values())


def test_the_same_key_answers_with_the_invoice_that_stands() -> None:
    job, key = household(), uuid4()
    plan(job)
    receipt = pay(ask(job))
    assert invoice_money(receipt, key=key) == invoice_money(receipt, key=key)
    with pytest.raises(ServiceError, match="INV-2026-0001 was issued for this already"):
        invoice_money(receipt)
    other = pay(ask(job, 1))
    with pytest.raises(KeyUsedError):
        invoice_money(other, key=key)
    assert Invoice.objects.count() == 1


def test_what_is_refused_leaves_no_gap() -> None:
    job = household(address="", kind="builder")  # its postcode alone is no address
    plan(job)
    receipt = pay(ask(job))
    with pytest.raises(ServiceError, match="lacks the customer's address"):
        invoice_money(receipt)
    assert invoice_money(pay(ask(next_job()))).number == "INV-2026-0001"


def next_job() -> Any:
    job = household()
    plan(job)
    return job


def test_a_household_without_an_address_of_its_own_has_its_sites() -> None:
    job = household(address="", postcode="")
    plan(job)
    invoice = invoice_money(pay(ask(job)))
    assert invoice.customer_address.splitlines()[0] == job.site.address


def test_a_job_without_a_plan_says_what_is_missing() -> None:
    job = household()
    plan(job)
    receipt = pay(ask(job))
    job.stage_plan.stages.update(request=None)
    job.stage_plan.stages.all().delete()
    job.stage_plan.delete()
    with pytest.raises(ServiceError, match="Write the payment plan first"):
        invoice_money(receipt)


def test_a_rate_without_its_document_is_not_invoiced() -> None:
    job = household()
    plan(job, {5: "1000.00"})
    with pytest.raises(ServiceError, match="needs its reason"):
        invoice_money(pay(ask(job)))


def test_reverse_charge_shows_the_vat_and_leaves_it_out() -> None:
    job = contractor()
    plan(job)
    request = ask(job)
    assert request.amount == D("250.00")
    invoice = invoice_request(request, materials=D("100.00"))
    assert (invoice.net, invoice.vat, invoice.gross) == (D("250.00"), D("0.00"), D("250.00"))
    assert invoice.reverse_vat == D("50.00")
    assert "Reverse charge" in sheet_of(invoice).reverse_charge
    # 20 % of what is not materials.
    assert (invoice.cis_percent, invoice.cis_deduction) == (D(20), D("30.00"))
    assert sheet_of(invoice).to_pay == D("220.00")


def test_reverse_charge_that_no_longer_holds_is_refused() -> None:
    job = contractor()
    plan(job)
    request = ask(job)
    job.customer.end_user_confirmed = True
    job.customer.save()
    with pytest.raises(ServiceError, match="confirmed in writing"):
        invoice_request(request)


def test_what_is_kept_back_settles_the_request_and_stands_on_the_invoice() -> None:
    job = contractor()
    plan(job)
    request = ask(job)
    receipt = pay(request, "220.00", cis_deducted=D("30.00"))
    request.refresh_from_db()
    assert request.is_settled
    invoice = invoice_money(receipt)
    assert (invoice.gross, invoice.cis_deduction) == (D("250.00"), D("30.00"))
    assert sheet_of(invoice).paid == D("220.00")
    # 20 % of all of 250.00 is 50.00, of what is not 75.00 of materials 35.00; he says 30.00.
    [row] = money_of(job, DAY).cis
    assert (row.reckoned, row.said, row.difference) == (D("50.00"), D("30.00"), D("-20.00"))
    credit(invoice)
    assert money_of(job, DAY).cis[0].difference is None
    again = invoice_money(receipt, materials=D("75.00"))
    found = kept_back_of(request)
    assert found is not None
    assert (again.cis_materials, again.cis_deduction) == (D("75.00"), D("30.00"))
    assert (found.reckoned, found.difference) == (D("35.00"), D("-5.00"))
    other = pay(ask(job, 1), "740.00", cis_deducted=D("10.00"))
    with pytest.raises(ServiceError, match="Materials cannot cost more"):
        invoice_money(other, materials=D(9999))
    with pytest.raises(ServiceError, match="does not report"):
        pay(ask(next_job()), "10.00", cis_deducted=D("1.00"))


def test_an_invoice_before_the_money_is_open_until_it_comes() -> None:
    invoice = before_money()
    [row] = Invoice.objects.all().for_list()
    # CIS or not, what is owed is the whole; the deduction settles it too.
    assert row.open_amount == invoice.gross
    assert invoice.request is not None
    receipt = pay(invoice.request, "100.00")
    assert list(receipts_to_invoice()) == []
    assert Invoice.objects.all().for_list().get().open_amount == invoice.gross - 100
    with pytest.raises(ServiceError, match="issued for this already"):
        invoice_money(receipt)


def test_the_short_form_is_for_small_sums_only() -> None:
    for net, may in (("208.33", True), ("208.34", False)):
        job = household()
        plan(job, {20: net}, ())
        receipt = pay(ask(job))
        assert receipt.amount == {"208.33": D("250.00"), "208.34": D("250.01")}[net]
        if may:
            assert invoice_money(receipt, simplified=True).kind == "simplified"
        else:
            with pytest.raises(ServiceError, match=r"up to £250.00"):
                invoice_money(receipt, simplified=True)


def test_a_credit_in_whole_undoes_every_rate_and_the_money_can_be_invoiced_anew() -> None:
    job = household()
    plan(job, {20: "333.33", 0: "100.01"}, vat_reason="so", vat_document=uuid4())
    receipt = pay(ask(job))
    invoice = invoice_money(receipt)
    note = credit(invoice)
    assert note.number == "CN-2026-0001"
    rows = {row.rate: row for row in note.rates.all()}
    assert all(
        (row.net + rows[row.rate].net, row.vat + rows[row.rate].vat) == (0, 0)
        for row in invoice.rates.all()
    )
    with pytest.raises(ServiceError, match="Nothing of this invoice stands"):
        credit(invoice)
    assert list(receipts_to_invoice()) == [receipt]
    assert invoice_money(receipt).number == "INV-2026-0002"


def test_a_credit_in_part_is_never_more_than_stands() -> None:
    invoice = deposit_invoiced()
    assert credit(invoice, {20: "100.00"}).gross == D("-120.00")
    with pytest.raises(ServiceError, match=r"Only £150.00 before VAT stands at 20 %"):
        credit(invoice, {20: "150.01"})
    with pytest.raises(ServiceError, match=r"Only £0.00 before VAT stands at 5 %"):
        credit(invoice, {5: "1.00"})
    assert credit(invoice, {20: "150.00"}).vat == D("-30.00")
    with pytest.raises(ServiceError, match="not credited"):
        credit(Invoice.objects.get(number="CN-2026-0001"))


def test_money_that_was_taken_back_is_not_invoiced() -> None:
    job = household()
    plan(job)
    receipt = pay(ask(job))
    reverse_receipt(receipt_id=receipt.pk, reason="bounced", key=uuid4(), by=None, at=AT)
    with pytest.raises(ServiceError, match="taken back"):
        invoice_money(receipt)


@pytest.mark.parametrize("table", [Invoice, IssuedLine])
def test_the_database_refuses_to_change_what_was_issued(table: Any) -> None:
    deposit_invoiced()
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        table.objects.update(net=D("1.00"))
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        table.objects.all()._raw_delete("default")


@pytest.mark.parametrize(
    "wrong",
    [
        {"gross": D("300.01")},
        {"kind": "simplified"},
        {"reverse_charge": True},
        {"credits_id": 1},
        {"cis_deduction": D("1.00")},
        {"kind": "proforma"},
    ],
)
def test_the_database_refuses_an_invoice_that_cannot_be(wrong: dict[str, Any]) -> None:
    invoice = deposit_invoiced()
    values = {
        field.attname: getattr(invoice, field.attname)
        for field in Invoice._meta.concrete_fields
        if not field.primary_key
    }
    with pytest.raises(IntegrityError), transaction.atomic():
        Invoice.objects.create(**values | {"number": "INV-2026-0002", "key": uuid4()} | wrong)


def test_more_money_than_was_agreed_asks_for_a_variation() -> None:
    job = household()
    plan(job)
    receipt = pay(ask(job))
    with transaction.atomic():
        post_variation_to_plan(
            job=job, net_by_rate={D(20): D("-900.00")}, words="left out", by=None, at=AT
        )
    with pytest.raises(ServiceError, match=r"Only £120.00 of what was agreed"):
        invoice_money(receipt)


def test_an_order_number_that_is_wanted_must_be_there() -> None:
    job = household(wants_order_number=True)
    plan(job)
    receipt = pay(ask(job))
    with pytest.raises(ServiceError, match="wants their order number"):
        invoice_money(receipt)


def test_production_without_particulars_issues_nothing(settings: Any) -> None:
    settings.FIRM_VAT_NUMBER = ""
    job = household()
    plan(job)
    with pytest.raises(ServiceError, match="lacks our VAT number"):
        invoice_money(pay(ask(job)))
