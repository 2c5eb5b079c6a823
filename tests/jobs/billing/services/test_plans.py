"""A payment plan adds up, is asked for stage by stage, and follows variations."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import transaction

from jobs.attachments.services import keep_file
from jobs.billing.models import PaymentRequest, PlanChange, PlanStage
from jobs.billing.queries import agreed, left_to_invoice, money_of
from jobs.billing.rules import Stage, disagreements
from jobs.billing.services import (
    ask_stage,
    post_deposit_request,
    post_stage_plan,
    post_variation_to_plan,
    show_vat_evidence,
    withdraw_request,
)
from jobs.kernel.errors import ServiceError
from jobs.work.models import Job
from tests.factories import AT, DAY
from tests.jobs.billing.world import (
    ask,
    contractor,
    credit,
    deposit_invoiced,
    household,
    invoice_money,
    pay,
    plan,
)

pytestmark = pytest.mark.django_db
D = Decimal


def vary(job: Job, net: str, rate: int = 20) -> None:
    with transaction.atomic():
        post_variation_to_plan(
            job=job, net_by_rate={D(rate): D(net)}, words="more edging", by=None, at=AT
        )


def test_a_plan_written_before_the_deposit_is_asked_for_learns_of_it() -> None:
    job = household()
    stage = plan(job).stages.get(position=0)
    with transaction.atomic():
        request = post_deposit_request(
            job=job, amount=D("300.00"), words="Deposit", due_on=DAY, by=None, at=AT
        )
    stage.refresh_from_db()
    assert stage.request == request
    assert ask(job) == request


def test_a_plan_written_after_the_deposit_was_asked_for_takes_it_over() -> None:
    job = household()
    with transaction.atomic():
        # A penny from the stage's own sum: the last request makes up for it.
        request = post_deposit_request(
            job=job, amount=D("300.01"), words="Deposit", due_on=DAY, by=None, at=AT
        )
    assert plan(job).stages.get(position=0).request == request
    assert ask(job, 1).amount == D("899.99")


def test_a_service_of_other_rooms_asserts_that_it_is_inside_a_transaction(
    transactional_db: None,
) -> None:
    job = household()
    with pytest.raises(RuntimeError, match="in a transaction"):
        post_stage_plan(job=job, net_by_rate={D(20): D(1)}, stages=(), by=None, at=AT)
    with pytest.raises(RuntimeError, match="in a transaction"):
        post_variation_to_plan(job=job, net_by_rate={}, words="", by=None, at=AT)


def test_the_customers_standing_decides_the_reverse_charge() -> None:
    assert plan(contractor()).reverse_charge
    assert not plan(contractor(end_user_confirmed=True)).reverse_charge
    assert not plan(household()).reverse_charge
    made = plan(contractor(), {20: "1000.00", 5: "100.00"}, vat_reason="x")
    assert sum(row.vat for row in agreed(made).values()) == 0


def test_a_plan_can_be_written_anew_until_something_follows_from_it() -> None:
    job = household()
    plan(job, {20: "10.00"})
    assert sum(row.net for row in agreed(plan(job)).values()) == D("1000.00")
    ask(job)
    plan(job, {20: "2000.00"})  # the deposit alone does not hold it
    ask(job, 1)
    with pytest.raises(ServiceError, match="a variation changes it now"):
        plan(job)


def test_a_variation_goes_to_the_last_stage_and_vat_is_that_of_the_new_total() -> None:
    job = household()
    made = plan(job, {20: "0.33"}, ())
    vary(job, "0.33")
    vary(job, "0.33")
    # 0.99 at 20 % is 0.198: 0.20 on the whole, not 0.21 by line.
    assert agreed(made)[D(20)].vat == D("0.20")
    assert PlanChange.objects.count() == 2
    assert ask(job).amount == D("1.19")
    vary(job, "-0.09")
    assert PlanStage.objects.filter(plan=made).count() == 2
    assert agreed(made)[D(20)].net == D("0.90")


def test_a_variation_of_a_job_without_a_plan_changes_nothing() -> None:
    with transaction.atomic():
        assert post_variation_to_plan(
            job=household(), net_by_rate={D(20): D(1)}, words="x", by=None, at=AT
        ) is None  # fmt: skip


def test_a_variation_is_in_the_final_invoice() -> None:
    job = household()
    made = plan(job)
    invoice_money(pay(ask(job)))
    vary(job, "100.00")
    last = invoice_money(pay(ask(job, 1)))
    assert last.lines.get(position=0).net == D("1100.00")
    assert last.net == D("850.00")
    assert all(row.gross == 0 for row in left_to_invoice(made).values())
    from jobs.billing.queries import sheet_of

    assert disagreements(sheet_of(last)) == ()


def test_a_stage_is_asked_for_once_and_again_after_it_was_withdrawn() -> None:
    job = household()
    plan(job)
    first = ask(job)
    assert ask(job) == first
    withdraw_request(request_id=first.pk, reason="in error", by=None, at=AT)
    second = ask(job)
    assert second != first
    pay(second, "1.00")
    with pytest.raises(ServiceError, match="Money came in"):
        withdraw_request(request_id=second.pk, reason="", by=None, at=AT)


def test_a_day_that_has_gone_and_a_stage_of_nothing_are_refused() -> None:
    job = household()
    made = plan(job)
    stage = made.stages.get(position=0)
    with pytest.raises(ServiceError, match="That day has gone"):
        ask_stage(stage_id=stage.pk, due_on=DAY - timedelta(days=1), by=None, at=AT)
    ask(job)
    vary(job, "-800.00")
    with pytest.raises(ServiceError, match="Nothing is left"):
        ask(job, 1)
    assert PaymentRequest.objects.count() == 1


def test_evidence_lets_another_rate_be_invoiced() -> None:
    job = household()
    plan(job, {5: "1000.00"})
    assert money_of(job, DAY).needs_evidence
    kept = keep_file(data=b"%PDF-1.7", name="letter.pdf")
    show_vat_evidence(job_id=job.pk, reason="conversion", kept=kept, by=None, at=AT)
    assert not money_of(job, DAY).needs_evidence
    invoice = invoice_money(pay(ask(job)))
    assert (invoice.gross, invoice.vat, invoice.note) == (D("262.50"), D("12.50"), "conversion")


def test_the_money_page_adds_up() -> None:
    invoice = deposit_invoiced()
    credit(invoice, {20: "50.00"})
    money = money_of(invoice.job, DAY)
    assert (money.agreed, money.asked, money.to_ask) == (D(1200), D(300), D(900))
    assert (money.received, money.invoiced) == (D(300), D(240))
    assert money.invoiced + money.to_invoice_amount == money.agreed
    assert money.deposit is not None
    assert money.deposit.is_settled


def test_stages_in_pounds() -> None:
    made = plan(
        household(), {20: "100.00"},
        (Stage("a", amount=D("33.33"), deposit=True), Stage("b", amount=D("66.67"))),
    )  # fmt: skip
    rows = [row for stage in made.stages.all() for row in stage.shares.all()]
    assert [(row.net, row.vat) for row in rows] == [
        (D("33.33"), D("6.67")), (D("66.67"), D("13.33")),
    ]  # fmt: skip
