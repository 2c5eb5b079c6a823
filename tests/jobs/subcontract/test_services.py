"""Bills cost their job once, the rate is that of the day, and all is taken back whole."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from jobs.audit.models import Event
from jobs.billing.rules import Excluded
from jobs.costing.models import CostEntry
from jobs.costing.queries import job_costs
from jobs.costing.services import enter_hours
from jobs.kernel.appendonly import install_triggers, remove_triggers
from jobs.kernel.errors import ServiceError
from jobs.subcontract.models import SubcontractBill, SubcontractPayment
from jobs.subcontract.panels import labour_counted_twice, statements_due
from jobs.subcontract.queries import (
    audit_subcontract,
    counted_twice,
    month_sums,
    rate_of,
    standing_payment,
    statement_of,
)
from jobs.subcontract.services import record_bill
from tests.factories import AT, DAY, make_job, make_person
from tests.jobs.subcontract.world import (
    TYPED,
    UTR,
    bill,
    bill_back,
    paid,
    payment_back,
    subcontractor,
    verified,
)

pytestmark = pytest.mark.django_db
D = Decimal
VAT = "GB980780684"
MONTH_END = DAY.replace(day=5, month=6)


def cost(job: Any) -> dict[str, Decimal]:
    return {row.category: row.actual for row in job_costs([job])[0].categories if row.actual}


def test_the_worked_example_is_paid_less_its_deduction() -> None:
    """Labour 500, materials 200, VAT 140, 20 %: deducted 100, paid 740 (tests/outside)."""
    row = subcontractor(utr=UTR, vat_number=VAT)
    verified(row)
    found = bill(row, vat=D("140.00"), vat_reason="invoiced before he knew")
    payment = paid(found)
    assert (payment.gross, payment.taxed) == (D("840.00"), D("500.00"))
    assert (payment.deduction, payment.paid) == (D("100.00"), D("740.00"))
    assert payment.month_end == MONTH_END
    assert "verified 14 May 2026, V0123456789" in payment.why
    assert cost(found.job) == {"subcontract": D("700.00")}
    assert audit_subcontract() == []


def test_under_the_reverse_charge_he_is_paid_no_vat_and_we_account_for_it() -> None:
    row = subcontractor(utr=UTR, vat_number=VAT)
    with pytest.raises(ServiceError, match="reverse charge applies: both are registered") as no:
        bill(row, vat=D("140.00"))
    assert no.value.field == "vat_reason"
    found = bill(row, reverse_charge=True)
    assert (found.vat, found.reverse_vat) == (0, D("140.00"))
    assert paid(found).paid == D("550.00")  # 700 less 30 % of 500: not verified


def test_the_rate_is_that_of_the_day_of_payment() -> None:
    row = subcontractor(utr=UTR)
    assert rate_of(row, DAY).why == "not verified with HMRC by that day: 30 %"
    verified(row, 20, verified_on=DAY - timedelta(days=2))
    verified(row, 0, verified_on=DAY)
    days = (DAY - timedelta(days=3), DAY - timedelta(days=2), DAY)
    taxes = [
        paid(bill(row, number=f"n{day}", billed_on=day), paid_on=day).deduction for day in days
    ]
    assert taxes == [D("150.00"), D("100.00"), D("0.00")]
    first = SubcontractPayment.objects.get(paid_on=days[0])
    assert first.verification is None
    assert first.percent == 30


def test_the_same_bill_stands_once_and_can_be_recorded_rightly_after() -> None:
    row, job = subcontractor(), make_job(stage="won")
    first = bill(row, job)
    with pytest.raises(ServiceError, match=r"B-1 of .* is recorded already: £700\.00"):
        bill(row, job, number=" b-1 ")
    assert bill(number="B-1").pk != first.pk  # another's bill of that number
    bill_back(first)
    assert cost(job) == {}
    again = bill(row, job, labour=D("400.00"))
    assert (again.attempt, cost(job)) == (2, {"subcontract": D("600.00")})
    with pytest.raises(ServiceError, match="taken back already"):
        bill_back(first)
    with pytest.raises(IntegrityError), transaction.atomic():
        SubcontractBill.objects.create(
            **{f.name: getattr(again, f.name) for f in SubcontractBill._meta.fields
               if f.name not in ("id", "key")}, key=uuid4(),
        )  # fmt: skip
    assert audit_subcontract() == []


def test_the_same_page_twice_writes_once() -> None:
    row, job, key = subcontractor(), make_job(stage="won"), uuid4()
    typed = TYPED.__class__(**{**TYPED.__dict__, "vat_rate": D(0)})
    made = [
        record_bill(subcontractor_id=row.pk, job_id=job.pk, typed=typed, key=key, by=None, at=AT)
        for _ in range(2)
    ]
    assert made[0] == made[1]
    assert CostEntry.objects.count() == 1
    pressed = uuid4()
    assert paid(made[0], key=pressed) == paid(made[0], key=pressed)
    with pytest.raises(ServiceError, match="was paid on 14 May 2026 already"):
        paid(made[0])


def test_a_payment_taken_back_leaves_its_month_and_can_be_made_again() -> None:
    found = bill()
    first = paid(found)
    with pytest.raises(ServiceError, match="is paid; take its payment back first"):
        bill_back(found)
    assert month_sums(MONTH_END)["deduction"] == D("150.00")
    payment_back(first)
    assert standing_payment(found) is None
    assert set(month_sums(MONTH_END).values()) == {D(0)}
    assert statement_of(found.subcontractor, MONTH_END).rows == ()
    second = paid(found, paid_on=DAY - timedelta(days=10))
    assert (second.attempt, second.month_end) == (2, DAY.replace(day=5))
    assert audit_subcontract() == []
    verbs = set(Event.objects.values_list("verb", flat=True))
    assert {"pay_subcontractor", "take_back_subcontract_payment"} <= verbs


def test_hours_that_are_entered_already_are_not_counted_twice() -> None:
    person, job = make_person(hourly="20"), make_job(stage="won")
    row = subcontractor(person=person)
    hours: dict[str, Any] = {"minutes": 60, "uid": uuid4(), "by": None, "at": AT}
    enter_hours(job_id=job.pk, person_id=person.pk, day=DAY, kind="work", **hours)
    with pytest.raises(ServiceError, match=r"in its costs already, £20\.00") as refusal:
        bill(row, job)
    assert refusal.value.field == "hours_apart"
    assert bill(row, job, hours_apart=True).net == D("700.00")
    only = bill(row, job, number="B-2", labour=D(0))  # materials are no hours
    assert only.net == D("200.00")
    # Hours that come after a bill are for a person to look at.
    other = make_job(stage="won")
    early = bill(row, other, number="B-3")
    assert counted_twice() == []
    enter_hours(
        job_id=other.pk, person_id=person.pk, day=DAY, kind="work", **hours | {"uid": uuid4()}
    )
    assert counted_twice() == [early]
    assert "Counted twice?" in next(iter(labour_counted_twice(None, AT))).title


@pytest.mark.parametrize(
    ("change", "sentence", "field"),
    [
        ({"number": " . "}, "number that stands", "number"),
        ({"billed_on": DAY + timedelta(days=1)}, "has not come", "billed_on"),
        ({"vat": D("1.00")}, "has no VAT number here", "vat"),
        ({"labour": D(0), "excluded": Excluded()}, "comes to nothing", "labour"),
        ({"labour": D(-1)}, "as nothing or more", "labour"),
        ({"reverse_charge": True}, "does not apply: the subcontractor has no VAT", "vat_reason"),
    ],
)
def test_a_bill_that_cannot_be_is_refused_with_a_sentence(
    change: dict[str, Any], sentence: str, field: str
) -> None:
    with pytest.raises(ServiceError, match=sentence) as refusal:
        bill(**change)
    assert refusal.value.field == field
    assert not CostEntry.objects.exists()


def test_vat_that_is_not_that_of_the_total_is_refused() -> None:
    row = subcontractor(vat_number=VAT)
    with pytest.raises(ServiceError, match=r"is £140\.00, not £139\.94"):
        bill(row, vat=D("139.94"), vat_reason="so")
    assert bill(row, vat=D("139.95"), vat_reason="rounded by line").vat == D("139.95")


def test_a_job_that_was_not_won_has_no_bills() -> None:
    with pytest.raises(ServiceError, match="was not won"):
        bill(job=make_job(stage="enquiry"))


@pytest.mark.parametrize(
    ("more", "sentence"),
    [
        ({"reference": "0123456789"}, "V and ten digits"),
        ({"reference": "V012345678"}, "V and ten digits"),
        ({"reference": "V0123456789/ABC"}, "V and ten digits"),
        ({"percent": 25}, "20, 30 or 0"),
        ({"verified_on": DAY + timedelta(days=1)}, "has not come"),
    ],
)
def test_a_verification_that_cannot_be_is_refused(more: dict[str, Any], sentence: str) -> None:
    with pytest.raises(ServiceError, match=sentence):
        verified(**more)


def test_lower_rates_need_a_taxpayer_reference_that_fits() -> None:
    with pytest.raises(ServiceError, match="no unique taxpayer reference"):
        verified(subcontractor())
    with pytest.raises(ServiceError, match="is not a unique taxpayer reference"):
        subcontractor(utr="2955839661")
    assert verified(subcontractor(), 30, reference="v 0123456789 / ab").reference.endswith("/AB")


def test_what_was_booked_is_not_changed() -> None:
    payment = paid()
    for row, name in ((payment, "deduction"), (payment.bill, "net")):
        with pytest.raises(DatabaseError), transaction.atomic():
            type(row).objects.filter(pk=row.pk).update(**{name: 1})


def test_the_audit_finds_what_was_changed_behind_its_back() -> None:
    payment = paid()
    assert audit_subcontract() == []
    remove_triggers()
    SubcontractPayment.objects.filter(pk=payment.pk).update(deduction=1, paid=699)
    CostEntry.objects.all().update(amount=1)
    install_triggers()
    said = {row.what.partition(": ")[2] for row in audit_subcontract()}
    assert said == {"deducted under CIS", "cost of the job"}


def test_today_says_when_statements_are_due() -> None:
    payment = paid()
    ended = AT.replace(month=6, day=8)
    [entry] = statements_due(None, ended)
    assert entry.title == "Statements of subcontractors to 5 Jun 2026"
    assert entry.at is not None
    assert entry.at.day == 19
    assert [*statements_due(None, AT.replace(month=6, day=20))] == []
    assert [*statements_due(None, AT)] == []  # that month has not ended
    payment_back(payment)
    assert [*statements_due(None, ended)] == []
