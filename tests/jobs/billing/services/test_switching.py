"""The reverse charge decided at the time of supply: VAT and wording follow, the plan adds up."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.audit.models import Event
from jobs.billing.models import PaymentRequest, PlanStage, StagePlan
from jobs.billing.queries import agreed, asked_for, audit_books, invoiced, left_to_invoice, sheet_of
from jobs.billing.rules import Stage
from jobs.billing.services import Choice, post_variation_to_plan, reverse_receipt
from jobs.kernel.errors import ServiceError
from jobs.work.models import Job
from tests.factories import AT
from tests.jobs.billing.world import (
    ask,
    contractor,
    credit,
    invoice_money,
    invoice_request,
    pay,
    plan,
)

pytestmark = pytest.mark.django_db
D = Decimal
FOLLOW = "the customer's own statement of today"


def confirmed(job: Job, said: bool) -> None:
    """The customer's standing changes: end user or not, in writing."""
    job.customer.end_user_confirmed = said
    job.customer.save()
    job.refresh_from_db()


def changed(reverse: bool, **stages: Any) -> tuple[Job, StagePlan]:
    """A job whose plan says the one and whose customer's standing now says the other."""
    job = contractor(end_user_confirmed=reverse)
    found = plan(job, **stages)
    assert found.reverse_charge is not reverse
    confirmed(job, not reverse)
    return job, found


def adds_up(job: Job) -> None:
    """Agreed is invoiced plus left, at every rate; all that is asked for is what was agreed."""
    found = StagePlan.objects.get(job=job)
    whole, done, left = agreed(found), invoiced(job.pk), left_to_invoice(found)
    for rate, row in whole.items():
        rest = left[rate]
        before = done.get(rate)
        assert row.net == rest.net + (before.net if before else 0)
        assert row.vat == rest.vat + (before.vat if before else 0)
        assert rest.net >= 0
        assert rest.vat >= 0
    assert audit_books().ok


def test_nothing_is_issued_before_it_is_decided() -> None:
    job, _ = changed(reverse=True)
    request = ask(job)
    with pytest.raises(ServiceError, match="was not agreed, but it applies") as refusal:
        invoice_request(request)
    assert refusal.value.field == "reverse"
    with pytest.raises(ServiceError, match="Say why"):
        invoice_request(request, choice=Choice(True, " "))
    assert not job.invoices.exists()


def test_a_plan_with_vat_follows_the_conditions_to_the_reverse_charge() -> None:
    job, _ = changed(reverse=True)
    deposit, last = ask(job), ask(job, 1)
    assert (deposit.amount, last.amount) == (D("300.00"), D("900.00"))
    invoice = invoice_request(deposit, choice=Choice(True, FOLLOW))
    assert (invoice.net, invoice.vat, invoice.reverse_vat) == (D("250.00"), 0, D("50.00"))
    assert "Reverse charge" in sheet_of(invoice).reverse_charge
    assert invoice.reverse_reason == FOLLOW
    for request, amount in ((deposit, "250.00"), (last, "750.00")):
        request.refresh_from_db()
        assert request.amount == D(amount)
    adds_up(job)
    event = Event.objects.get(verb="decide_reverse_charge")
    assert event.reason == FOLLOW
    # The plan follows, so that the next one needs no decision.
    assert invoice_request(last).reverse_vat == D("150.00")
    adds_up(job)
    assert left_to_invoice(StagePlan.objects.get(job=job))[D(20)].gross == 0


def test_a_plan_under_the_reverse_charge_follows_the_conditions_to_vat() -> None:
    job, _ = changed(reverse=False)
    deposit = ask(job)
    assert deposit.amount == D("250.00")
    invoice = invoice_request(deposit, choice=Choice(False, FOLLOW))
    assert (invoice.net, invoice.vat, invoice.reverse_vat) == (D("250.00"), D("50.00"), 0)
    assert sheet_of(invoice).reverse_charge == ""
    adds_up(job)
    last = ask(job, 1)
    assert last.amount == D("900.00")
    assert invoice_request(last).vat == D("150.00")
    adds_up(job)


def test_money_that_came_in_is_what_its_invoice_comes_to() -> None:
    job, _ = changed(reverse=False)
    invoice = invoice_money(pay(ask(job)), choice=Choice(False, FOLLOW))
    # The VAT fraction of 250.00; what is still owed of the stage is open at its request.
    assert (invoice.net, invoice.vat) == (D("208.33"), D("41.67"))
    assert PaymentRequest.objects.get().amount == D("300.00")
    adds_up(job)
    invoice_money(pay(PaymentRequest.objects.get()))
    invoice_money(pay(ask(job, 1)))
    assert invoiced(job.pk)[D(20)].gross == D("1200.00")
    adds_up(job)


def test_money_with_vat_in_it_is_given_back_in_part_under_the_reverse_charge() -> None:
    job, _ = changed(reverse=True, stages=(Stage("all", percent=D(100)),))
    receipt = pay(ask(job))
    with pytest.raises(ServiceError, match=r"£200\.00 of this money is VAT"):
        invoice_money(receipt, choice=Choice(True, FOLLOW))
    reverse_receipt(receipt_id=receipt.pk, reason="VAT", key=uuid4(), by=None, at=AT)
    kept = pay(receipt.request, "1000.00")
    invoice = invoice_money(kept, choice=Choice(True, FOLLOW))
    assert (invoice.gross, invoice.reverse_vat) == (D("1000.00"), D("200.00"))
    assert PaymentRequest.objects.get().is_settled
    adds_up(job)


def test_the_plan_may_be_kept_to_with_a_reason() -> None:
    job, _ = changed(reverse=True)
    invoice = invoice_request(ask(job), choice=Choice(False, "confirmed by letter today"))
    assert (invoice.vat, invoice.reverse_reason) == (D("50.00"), "confirmed by letter today")
    assert not StagePlan.objects.get(job=job).reverse_charge
    adds_up(job)


def test_no_decision_makes_a_reverse_charge_without_a_vat_number() -> None:
    job, _ = changed(reverse=False)
    job.customer.vat_number = ""
    job.customer.save()
    with pytest.raises(ServiceError, match="cannot be: the customer has no VAT number"):
        invoice_request(ask(job), choice=Choice(True, "so agreed"))


def test_crediting_what_was_invoiced_the_other_way_leaves_the_plans_vat() -> None:
    job, _ = changed(reverse=True)
    confirmed(job, True)
    first = invoice_request(ask(job))  # with VAT, as agreed
    confirmed(job, False)
    invoice_request(ask(job, 1), choice=Choice(True, FOLLOW))
    adds_up(job)
    credit(first)
    adds_up(job)
    left = left_to_invoice(StagePlan.objects.get(job=job))[D(20)]
    assert (left.net, left.vat) == (D("250.00"), D(0))


@pytest.mark.parametrize("reverse", [True, False])
def test_a_variation_after_the_decision_has_the_vat_of_the_decision(reverse: bool) -> None:
    job, found = changed(reverse=reverse)
    confirmed(job, reverse)
    invoice_request(ask(job))  # as agreed: 250.00 with its VAT, or without
    confirmed(job, not reverse)
    invoice_request(ask(job, 1), choice=Choice(reverse, FOLLOW))
    for net in ("100.00", "-30.00"):
        with transaction.atomic():
            post_variation_to_plan(
                job=job, net_by_rate={D(20): D(net)}, words="more", by=None, at=AT
            )
        adds_up(job)
    left = left_to_invoice(found)[D(20)]
    assert (left.net, left.vat) == (D("70.00"), D(0) if reverse else D("14.00"))


@given(
    st.lists(st.integers(1, 400_000), min_size=1, max_size=2), st.integers(2, 5), st.booleans(),
    st.integers(0, 4),
)  # fmt: skip
@settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
def test_law_whenever_it_is_decided_the_plan_adds_up(
    pence: list[int], count: int, reverse: bool, when: int
) -> None:
    """Any sums at one or two rates, decided at any stage: all is invoiced in the end."""
    nets = {rate: D(net) / 100 for rate, net in zip((20, 5), pence, strict=False)}
    if sum(nets.values()) < 1:
        return
    job = contractor(end_user_confirmed=reverse)
    share = (D(100) / count).quantize(D("0.01"))
    parts = [share] * (count - 1)
    rest = D(100) - sum(parts, D(0))
    stages = tuple(Stage("part", percent=part) for part in (*parts, rest))
    plan(job, {r: str(n) for r, n in nets.items()}, stages, vat_reason="so", vat_document=uuid4())
    for position in range(count):
        if position == min(when, count - 1):
            confirmed(job, not reverse)
        if not PlanStage.objects.get(plan__job=job, position=position).request_id:
            try:
                request = ask(job, position)
            except ServiceError:
                continue  # a share of less than a penny
            invoice_request(request, choice=Choice(reverse, FOLLOW))
            adds_up(job)
    left = left_to_invoice(StagePlan.objects.get(job=job))
    assert all(row.gross == 0 for row in left.values())
    assert asked_for(job.pk) == sum(row.gross for row in invoiced(job.pk).values())
