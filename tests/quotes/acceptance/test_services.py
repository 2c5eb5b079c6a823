"""Acceptance: once, whole, by who may; and what it leads to."""

from __future__ import annotations

import hashlib
from collections import Counter
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import DatabaseError, transaction

from jobs.attachments.services import keep_file
from jobs.billing.models import PaymentRequest, PlanShare, PlanStage, StagePlan
from jobs.billing.queries.plans import stage_rows
from jobs.billing.rules import Stage
from jobs.billing.services import ask_stage, write_plan
from jobs.costing.models import CostEntry
from jobs.kernel.errors import ServiceError
from jobs.outbox.models import Message
from jobs.work.models import Job
from quotes.acceptance import services
from quotes.acceptance.models import Acceptance
from quotes.acceptance.rules import last_day_to_cancel
from quotes.quoting.models import Line, Revision
from quotes.quoting.queries import sheet_of
from quotes.quoting.services import revise, send_revision
from stock.allocation.models import Requirement
from tests.quotes.acceptance.world import PDF, YES, accept, make_sent

pytestmark = pytest.mark.django_db


def test_acceptance_leads_to_budget_needs_deposit_and_stage(at: datetime) -> None:
    # long because: one acceptance, and all that it leads to
    sent = make_sent()

    acceptance = accept(sent, at)

    job = Job.objects.get(pk=sent.world.job.pk)
    revision = Revision.objects.get(pk=sent.revision.pk)
    assert (job.stage, revision.state, revision.closed_at) == ("won", "accepted", at)
    budget = CostEntry.objects.filter(job=job, kind="budget")
    assert sum(entry.amount for entry in budget) == revision.direct
    by_category: Counter[str] = Counter()
    for entry in budget:
        by_category[entry.category] += entry.amount
    lines = list(revision.lines.all())
    assert by_category == {
        "materials": sum(line.materials for line in lines),
        "labour": sum(line.labour for line in lines),
        "plant": sum(line.plant for line in lines),
    }
    needs = {
        (need.item_id, need.colour_group, need.phase): need.quantity
        for need in Requirement.objects.filter(job=job)
    }
    world = sent.world
    assert needs == {
        (world.kit.pk, "", "lay"): 8,
        (world.stones[0].pk, "buff", "lay"): 640_000,
        (world.stones[1].pk, "buff", "lay"): 160_000,
        (world.sand.pk, "", "lay"): 40_000,
        (world.edging.pk, "", "prepare"): 22_500,
    }
    request = PaymentRequest.objects.get(job=job)
    # by hand: a quarter of 1,871.55 before VAT is 467.8875, half up 467.89, and 20 % on that 93.58
    assert (revision.net, request.amount) == (Decimal("1871.55"), Decimal("561.47"))
    assert request.kind == "deposit"
    stages = PlanStage.objects.filter(plan__job=job).order_by("position")
    assert [(stage.kind, stage.request) for stage in stages] == [
        ("deposit", request), ("final", None),
    ]  # fmt: skip
    shares = PlanShare.objects.filter(stage__plan__job=job)
    assert sum(share.net for share in shares) == revision.net
    assert sum(share.vat for share in shares) == revision.vat
    assert acceptance.pounds == revision.gross
    assert acceptance.pdf_digest == hashlib.sha256(PDF).hexdigest()
    assert acceptance.consents["terms"]["given"] is True
    to = set(Message.objects.filter(occasion__startswith="accepted:").values_list("to", flat=True))
    assert to == {"home@customer.example", "office@resinwright.example"}


def test_the_same_again_finds_it_accepted(at: datetime) -> None:
    sent = make_sent()

    first = accept(sent, at)
    second = accept(sent, at + timedelta(minutes=1), name="Another device")

    assert first == second
    assert Acceptance.objects.get().name == "A. Householder"
    assert PaymentRequest.objects.count() == 1
    assert Message.objects.filter(occasion__startswith="accepted:").count() == 2


def test_options_taken_change_price_budget_and_needs(at: datetime) -> None:
    sent = make_sent(option=True)
    option = Line.objects.get(pk=sent.option)

    acceptance = accept(sent, at, options=[sent.option])

    added = option.net * Decimal("1.2")
    assert acceptance.pounds == sent.revision.gross + added
    budget = sum(entry.amount for entry in CostEntry.objects.filter(kind="budget"))
    assert budget == sent.revision.direct + option.direct
    assert Line.objects.get(pk=sent.option).chosen


@pytest.mark.parametrize("taken", [True, False])
def test_the_job_is_paid_as_the_quote_says_with_the_options_taken(
    at: datetime, taken: bool
) -> None:
    stages = [
        Stage("Deposit", percent=Decimal(20), deposit=True),
        Stage("First day on site", percent=Decimal("33.33")),
        Stage("Base ready", amount=Decimal("250.00")), Stage("Handed over"),
    ]  # fmt: skip
    sent = make_sent(option=True, stages=stages)

    acceptance = accept(sent, at, options=[sent.option] if taken else [])

    job = sent.world.job
    rows = stage_rows(StagePlan.objects.get(job=job))
    assert [row.stage.words for row in rows] == [stage.words for stage in stages]
    net = sent.revision.net + (Line.objects.get(pk=sent.option).net if taken else 0)
    assert sum(row.net for row in rows) == net
    assert sum(row.gross for row in rows) == acceptance.pounds
    assert rows[2].net == Decimal("250.00")
    # the last takes the remainder: everything but the others
    assert rows[3].net == net - sum(row.net for row in rows[:3])
    request = PaymentRequest.objects.get(job=job)
    assert rows[0].request == request
    assert rows[0].gross == request.amount
    if not taken:
        shown = sheet_of(sent.revision).stages
        assert [(s.net, s.vat) for s in shown] == [(row.net, row.vat) for row in rows]


def test_a_plan_of_the_jobs_own_gives_way_until_something_was_asked_for(at: datetime) -> None:
    for asked in (False, True):
        sent = make_sent()
        plan = write_plan(
            job_id=sent.world.job.pk, net_by_rate={Decimal(20): Decimal(800)}, by=None, at=at,
            stages=[Stage("half", percent=Decimal(50)), Stage("other half", percent=Decimal(50))],
        )  # fmt: skip
        if asked:
            ask_stage(stage_id=plan.stages.all()[0].pk, due_on=at.date(), by=None, at=at)
        accept(sent, at)
        words = [row.stage.words for row in stage_rows(StagePlan.objects.get(job=sent.world.job))]
        assert ("half" in words) is asked


def test_options_left_out_are_not_budgeted(at: datetime) -> None:
    sent = make_sent(option=True)

    acceptance = accept(sent, at)

    assert acceptance.pounds == sent.revision.gross
    assert sum(e.amount for e in CostEntry.objects.all()) == sent.revision.direct


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"name": "  "}, "name"),
        ({"consents": {}}, "terms"),
        ({"consents": {"terms": False}}, "terms"),
        ({"options": [424242]}, "options"),
    ],
)
def test_what_is_missing_is_said_at_its_field(
    at: datetime, fields: dict[str, Any], field: str
) -> None:
    sent = make_sent()

    with pytest.raises(ServiceError) as refused:
        accept(sent, at, **fields)

    assert refused.value.field == field
    assert not Acceptance.objects.exists()
    assert Job.objects.get(pk=sent.world.job.pk).stage == "quoted"


def test_resin_that_changes_colour_wants_its_own_consent(at: datetime) -> None:
    from stock.catalogue.models import Item

    sent = make_sent()
    Item.objects.filter(pk=sent.world.kit.pk).update(uv_stable=False)
    second = revise(revision_id=sent.revision.pk, by=None, at=at)
    from quotes.quoting.services import reprice

    reprice(revision_id=second.pk, by=None, at=at)
    send_revision(revision_id=second.pk, to="home@customer.example", by=None, at=at)
    _, token = services.make_link(revision_id=second.pk, by=None, at=at)

    with pytest.raises(ServiceError) as refused:
        accept(sent, at, token=token)
    assert refused.value.field == "colour"

    done = accept(sent, at, token=token, consents={"terms": True, "colour": True})
    assert "changes its colour" in done.consents["colour"]["words"]


def test_a_decline_says_why_and_shuts_the_link(at: datetime) -> None:
    sent = make_sent()
    with pytest.raises(ServiceError, match="in a few words why"):
        services.decline(token=sent.token, reason=" ", at=at)

    services.decline(token=sent.token, reason="Too dear", at=at)
    services.decline(token=sent.token, reason="Too dear", at=at)

    assert Revision.objects.get(pk=sent.revision.pk).state == "declined"
    assert "Too dear" in Message.objects.get(occasion__startswith="declined:").body
    with pytest.raises(ServiceError, match="was declined"):
        accept(sent, at)


def test_an_accepted_quote_cannot_be_declined(at: datetime) -> None:
    sent = make_sent()
    accept(sent, at)

    with pytest.raises(ServiceError, match="was accepted"):
        services.decline(token=sent.token, reason="Oh", at=at)


def test_paper_is_attached_and_accepted_once(office: Any, at: datetime) -> None:
    sent = make_sent()
    kept = keep_file(data=b"%PDF-1.7 order 4711", name="order.pdf")
    values: dict[str, Any] = {
        "revision_id": sent.revision.pk, "name": "B. Builder", "options": [], "consents": YES,
        "kept": kept, "by": office, "at": at, "order_number": "4711",
    }  # fmt: skip

    done = services.record_paper(**values)

    assert (done.answered_by, done.recorded_by) == ("paper", office)
    assert done.paper_uid is not None
    assert Job.objects.get(pk=sent.world.job.pk).customer_order_number == "4711"
    with pytest.raises(ServiceError, match="accepted already"):
        services.record_paper(**values)
    assert accept(sent, at) == done  # the customer's link finds it accepted


def test_an_acceptance_cannot_be_changed(at: datetime) -> None:
    acceptance = accept(make_sent(), at)

    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        Acceptance.objects.filter(pk=acceptance.pk).update(name="Somebody else")


@pytest.mark.parametrize(
    ("accepted", "last"),
    [(date(2026, 5, 14), date(2026, 5, 28)), (date(2026, 2, 20), date(2026, 3, 6))],
)
def test_last_day_to_cancel(accepted: date, last: date) -> None:
    # Consumer Contracts Regulations 2013, regulation 30 (memory): 14 days after the day of the
    # contract.
    assert last_day_to_cancel(accepted) == last
