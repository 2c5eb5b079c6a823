"""All jobs of the horizon together: what moves, what stays, what is taken over, what is stale."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from jobs.calendar.queries import firm_calendar
from jobs.kernel.errors import ServiceError
from jobs.surveys.models import ColourGroup, Pour
from stock.allocation.models import Proposal, ProposalLine, Reservation
from stock.allocation.queries import exact_of, horizon, near_day, shown_proposal
from stock.allocation.services import (
    ask_proposal,
    claim_proposal,
    pin_reservation,
    reserve_job,
    take_proposal,
)
from stock.allocation.tasks import propose_one, sweep
from stock.ledger.models import Lot
from stock.ledger.services import hold_lot
from stock.movements.queries import audit_stock
from stock.movements.services import mark_picked
from tests.factories import (
    AT,
    DAY,
    make_area,
    make_booking,
    make_job,
    make_kit,
    make_lot,
    make_requirement,
    make_stone,
    make_survey,
)

pytestmark = pytest.mark.django_db
FAR = DAY + timedelta(days=20)


def won(item: Any, packs: int, day: Any = FAR) -> Any:
    job = make_job(stage="won")
    make_requirement(job, item, packs)
    make_booking(job, day=day)
    return job


def kept(job: Any) -> dict[str, int]:
    rows = Reservation.objects.filter(requirement__job=job).select_related("lot")
    return {row.lot.code: row.quantity // row.lot.item.pack_quantity for row in rows}


def two_pours(job: Any, prefix: str = "") -> None:
    """A finished survey of one colour group in two pours of one size."""
    survey = make_survey(job, finished_at=AT)
    group = ColourGroup.objects.create(survey=survey, name="buff")
    for part in ("drive", "path"):
        name = f"{prefix} {part}".strip()
        pour = Pour.objects.create(survey=survey, name=name, colour_group=group)
        make_area(survey, pour=pour, name=name)


def asked(days: int = 42) -> Proposal:
    return ask_proposal(days=days, by=None, at=AT)


def reckoned() -> Proposal:
    """The exact proposal, as a worker leaves it."""
    exact = exact_of(asked())
    assert exact is not None
    assert propose_one(exact.pk)
    exact.refresh_from_db()
    return exact


@pytest.fixture
def swapped() -> tuple[Any, Any, Any, Any]:
    """A late job holds the only run that is enough for an early one; another would do for it."""
    stone = make_stone()
    late = won(stone, 4, DAY + timedelta(days=30))
    big = make_lot(stone, 6, run="26-01")
    reserve_job(job_id=late.pk, by=None, at=AT)
    small = make_lot(stone, 4, run="26-02")
    early = won(stone, 6, DAY + timedelta(days=15))
    assert not reserve_job(job_id=early.pk, by=None, at=AT).is_met
    return early, late, big, small


def test_the_worker_frees_the_big_run_and_both_jobs_are_met(swapped: Any) -> None:
    early, late, big, small = swapped
    exact = reckoned()
    assert (exact.state, exact.proven) == ("ready", True)
    assert exact.figures["then"]["unmet"] == 0
    assert kept(late) == {big.code: 4}  # a proposal is no reservation
    take_proposal(uid=exact.uid, by=None, at=AT)
    assert (kept(early), kept(late)) == ({big.code: 6}, {small.code: 4})
    assert audit_stock().differences == []


def test_jobs_that_swap_lots_are_taken_over_together_and_others_apart(swapped: Any) -> None:
    early, late, big, small = swapped
    kit = make_kit()
    make_lot(kit, 5)
    other = won(kit, 5)
    exact = reckoned()
    bundle = {line.requirement.job_id: line.bundle for line in exact.lines.all()}
    assert bundle[early.pk] == bundle[late.pk] != bundle[other.pk]
    take_proposal(uid=exact.uid, bundle=bundle[other.pk], by=None, at=AT)
    assert (sum(kept(other).values()), kept(late)) == (5, {big.code: 4})
    take_proposal(uid=exact.uid, bundle=bundle[early.pk], by=None, at=AT)
    assert kept(late) == {small.code: 4}
    with pytest.raises(ServiceError) as refusal:
        take_proposal(uid=exact.uid, by=None, at=AT)
    assert refusal.value.message == "This was taken over already."


@pytest.mark.parametrize("mark", ["picked", "pinned", "near", "labelled"])
def test_what_is_picked_labelled_pinned_or_near_stays(swapped: Any, mark: str) -> None:
    early, late, big, _ = swapped
    row = Reservation.objects.get(requirement__job=late)
    if mark == "picked":
        mark_picked(job_id=late.pk, by=None, at=AT)
    elif mark == "pinned":
        pin_reservation(reservation_id=row.pk, pinned=True, by=None, at=AT)
    elif mark == "labelled":
        Reservation.objects.update(labelled_at=AT)
    else:
        make_booking(late, day=firm_calendar().after(DAY, 3))
    exact = reckoned()
    take = [line for line in exact.lines.all() if line.before != line.after]
    assert take == []
    assert exact.figures["fixed"] == 1
    assert [row["job"] for row in exact.unmet] == [early.pk]
    assert kept(late) == {big.code: 4}


def test_near_is_three_working_days_and_the_fourth_is_not() -> None:
    calendar = firm_calendar()
    assert near_day(DAY) == calendar.after(DAY, 3)  # Thursday: Friday, Monday, Tuesday
    assert near_day(DAY) == DAY + timedelta(days=5)
    job = won(make_kit(), 1, calendar.after(DAY, 4))
    make_lot(job_item(job), 1)
    reserve_job(job_id=job.pk, by=None, at=AT)
    assert len(horizon(DAY, 42).problem.present) == 1
    assert horizon(DAY + timedelta(days=1), 42).problem.present == ()


def job_item(job: Any) -> Any:
    from stock.allocation.models import Requirement

    return Requirement.objects.get(job=job).item


def test_jobs_beyond_the_horizon_keep_theirs(swapped: Any) -> None:
    early, _late, _big, _ = swapped
    first = asked(days=28)
    assert first.lines.count() == 0
    assert [row["reference"] for row in first.unmet] == [early.reference]


@pytest.mark.parametrize("what", ["held", "released", "used", "more"])
def test_a_proposal_that_has_gone_stale_is_refused_whole(swapped: Any, what: str) -> None:
    _early, late, big, small = swapped
    exact = reckoned()
    if what == "held":
        hold_lot(lot_id=small.pk, reason="damp", by=None, at=AT)
    elif what == "released":
        row = Reservation.objects.get(requirement__job=late)
        pin_reservation(reservation_id=row.pk, pinned=True, by=None, at=AT)
    elif what == "used":
        other = won(small.item, 1, DAY + timedelta(days=60))
        reserve_job(job_id=other.pk, by=None, at=AT)
    else:
        make_requirement(late, small.item, 1, colour_group="grey")
        Reservation.objects.filter(requirement__job=late).update(quantity=3 * 20_000)
        Lot.objects.filter(pk=big.pk).update(reserved=3 * 20_000)
    before = list(Reservation.objects.values_list("requirement_id", "lot_id", "quantity"))
    with pytest.raises(ServiceError) as refusal:
        take_proposal(uid=exact.uid, by=None, at=AT)
    assert refusal.value.code == "stale"
    assert refusal.value.message.endswith("Nothing was changed. Ask for a new proposal.")
    assert list(Reservation.objects.values_list("requirement_id", "lot_id", "quantity")) == before
    assert not ProposalLine.objects.filter(taken_at__isnull=False).exists()


def test_a_new_proposal_replaces_one_that_nobody_took_anything_of(swapped: Any) -> None:
    first = asked()
    second = asked()
    assert not Proposal.objects.filter(pk=first.pk).exists()
    assert shown_proposal() == second
    with pytest.raises(ServiceError) as refusal:
        take_proposal(uid=first.uid, by=None, at=AT)
    assert refusal.value.code == "gone"


def test_an_exact_one_that_comes_after_taking_over_says_so(swapped: Any) -> None:
    stone_free = make_kit()
    make_lot(stone_free, 2)
    won(stone_free, 2)
    first = asked()
    exact = exact_of(first)
    assert exact is not None
    take_proposal(uid=first.uid, by=None, at=AT)
    propose_one(exact.pk)
    exact.refresh_from_db()
    assert exact.state == "failed"
    assert exact.error.startswith("Part of the first proposal was taken over meanwhile.")


def test_one_worker_claims_a_proposal_and_the_sweep_finds_a_lost_one(swapped: Any) -> None:
    exact = exact_of(asked())
    assert exact is not None
    assert claim_proposal(proposal_id=exact.pk, at=AT) is not None
    assert claim_proposal(proposal_id=exact.pk, at=AT + timedelta(minutes=1)) is None
    sweep()  # long after: the worker that had it was stopped
    exact.refresh_from_db()
    assert (exact.state, exact.done, exact.done == exact.parts) == ("ready", 1, True)


def test_a_reckoning_that_breaks_leaves_the_first_proposal(
    swapped: Any, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = asked()
    exact = exact_of(first)
    assert exact is not None

    def broken(*_: Any, **__: Any) -> None:
        raise MemoryError("no room")

    monkeypatch.setattr("stock.allocation.tasks.exact_plan", broken)
    assert not propose_one(exact.pk)
    exact.refresh_from_db()
    assert (exact.state, exact.error) == ("failed", "MemoryError: no room")
    assert shown_proposal() == first


@pytest.mark.parametrize("count", [1, 3])
def test_a_horizon_costs_the_same_for_any_number_of_jobs(
    count: int, django_assert_num_queries: Any
) -> None:
    stone = make_stone()
    for number in range(count):
        job = won(stone, 2)
        make_lot(stone, 2, run=f"26-{number}")
        reserve_job(job_id=job.pk, by=None, at=AT)
        two_pours(job)
    # needs, days, closed days, reservations, runs in hand, issued, substitutes, lots, their places,
    # surveys, their areas, their shapes
    with django_assert_num_queries(12):
        assert len(horizon(DAY, 42).problem.needs) == count


def test_what_cannot_be_met_offers_the_natural_break_of_each_jobs_own_pours() -> None:
    stone = make_stone()
    jobs = [won(stone, 20), won(stone, 16)]
    for job in jobs:
        two_pours(job, prefix=job.reference)
    # The survey that was measured anew counts, not what was drawn before.
    old = make_survey(jobs[0], finished_at=AT - timedelta(days=9))
    make_area(old, name="old")
    for run in ("26-01", "26-02", "26-03"):
        make_lot(stone, 12, run=run)
    for proposal in (asked(), reckoned()):
        found = {row["job"]: row["offers"] for row in proposal.unmet}
        assert len(found) == 2
        for job in jobs:
            (offer,) = [words for words in found[job.pk] if words.startswith("A natural break:")]
            # Two pours of one size: each half of what the job asks for.
            half = 10 if job == jobs[0] else 8
            assert f"{half} bags of run 26-01 for {job.reference} path" in offer
            assert f"{half} bags of run 26-02 for {job.reference} drive" in offer
