"""Reserving: what is written, what stays, what goes back."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db import transaction

from jobs.kernel.errors import ServiceError
from stock.allocation.models import Requirement, Reservation
from stock.allocation.queries import job_needs, lay_day_of, open_needs
from stock.allocation.rules import Binds
from stock.allocation.services import (
    NeedRow,
    pin_reservation,
    post_free,
    post_requirements,
    release_job,
    release_reservation,
    reserve_job,
)
from stock.catalogue.models import Substitute
from stock.ledger.models import Lot
from stock.ledger.services import hold_lot
from stock.movements.services import ReturnRow, issue_job, return_from_site
from tests.factories import (
    AT,
    DAY,
    make_booking,
    make_edging,
    make_job,
    make_kit,
    make_lot,
    make_place,
    make_requirement,
    make_sand,
    make_stone,
)
from tests.stock.allocation.test_proposals import two_pours

pytestmark = pytest.mark.django_db


def won(**fields: Any) -> Any:
    return make_job(stage="won", **fields)


def kept(job: Any) -> dict[str, int]:
    rows = Reservation.objects.filter(requirement__job=job).select_related("lot")
    return {row.lot.code: row.quantity for row in rows}


def require(job: Any, *rows: NeedRow) -> list[Requirement]:
    with transaction.atomic():
        return post_requirements(job=job, rows=rows, at=AT)


def test_reserve_takes_the_first_to_expire_and_counts_it_on_the_lot() -> None:
    job, kit = won(), make_kit()
    make_requirement(job, kit, 4)
    late = make_lot(kit, 3, expiry=DAY + timedelta(days=80))
    soon = make_lot(kit, 3, expiry=DAY + timedelta(days=40))
    result = reserve_job(job_id=job.pk, by=None, at=AT)
    assert result.is_met
    assert kept(job) == {soon.code: 3, late.code: 1}
    assert sorted(Lot.objects.values_list("reserved", flat=True)) == [1, 3]


def test_reserve_again_adds_only_what_is_still_short() -> None:
    job, kit = won(), make_kit()
    make_requirement(job, kit, 4)
    first = make_lot(kit, 3)
    assert not reserve_job(job_id=job.pk, by=None, at=AT).is_met
    second = make_lot(kit, 3)
    assert reserve_job(job_id=job.pk, by=None, at=AT).is_met
    assert reserve_job(job_id=job.pk, by=None, at=AT).made == []
    assert kept(job) == {first.code: 3, second.code: 1}


def test_the_booked_lay_day_with_the_margin_decides_what_is_in_date() -> None:
    job, kit = won(), make_kit(expiry_margin_days=3)
    make_requirement(job, kit, 2)
    make_booking(job, day=DAY + timedelta(days=20))
    short = make_lot(kit, 2, expiry=DAY + timedelta(days=22))
    good = make_lot(kit, 2, expiry=DAY + timedelta(days=23))
    assert lay_day_of(job.pk) == DAY + timedelta(days=20)
    reserve_job(job_id=job.pk, by=None, at=AT)
    assert kept(job) == {good.code: 2}
    assert short.code not in kept(job)


def test_a_job_that_is_not_booked_is_taken_to_lay_in_a_fortnight() -> None:
    job, kit = won(), make_kit()
    make_requirement(job, kit, 1)
    make_lot(kit, 1, expiry=DAY + timedelta(days=13))
    result = reserve_job(job_id=job.pk, by=None, at=AT)
    assert [row.binds for row in result.unmet] == [Binds.DATE]


def test_stone_is_all_of_one_run_for_each_colour_group_or_none() -> None:
    job, buff = won(), make_stone()
    make_requirement(job, buff, 6, colour_group="drive")
    make_requirement(job, buff, 2, colour_group="path")
    make_lot(buff, 5, run="26-01")
    make_lot(buff, 3, run="26-02")
    result = reserve_job(job_id=job.pk, by=None, at=AT)
    groups = {
        row.requirement.colour_group: row.lot.run
        for row in Reservation.objects.select_related("requirement", "lot")
    }
    assert groups == {"path": "26-02"}
    assert [(row.binds, row.quantity) for row in result.unmet] == [(Binds.ONE_RUN, 120_000)]


def test_more_of_a_group_must_be_of_the_run_it_has() -> None:
    job, buff = won(), make_stone()
    need = make_requirement(job, buff, 2)
    first = make_lot(buff, 3, run="26-02")
    reserve_job(job_id=job.pk, by=None, at=AT)
    Requirement.objects.filter(pk=need.pk).update(quantity=4 * 20_000)
    make_lot(buff, 30, run="26-01")
    result = reserve_job(job_id=job.pk, by=None, at=AT)
    assert kept(job) == {first.code: 40_000}
    assert not result.is_met


def test_held_lots_are_not_reserved() -> None:
    job, sand = won(), make_sand()
    make_requirement(job, sand, 1)
    lot = make_lot(sand, 5)
    hold_lot(lot_id=lot.pk, reason="damp", by=None, at=AT)
    result = reserve_job(job_id=job.pk, by=None, at=AT)
    assert [row.binds for row in result.unmet] == [Binds.HELD]
    assert kept(job) == {}


def test_release_gives_back_and_a_second_time_says_so() -> None:
    job, kit = won(), make_kit()
    make_requirement(job, kit, 2)
    lot = make_lot(kit, 3)
    reserve_job(job_id=job.pk, by=None, at=AT)
    row = Reservation.objects.get()
    release_reservation(reservation_id=row.pk, by=None, at=AT)
    lot.refresh_from_db()
    assert (lot.reserved, Reservation.objects.count()) == (0, 0)
    with pytest.raises(ServiceError) as refusal:
        release_reservation(reservation_id=row.pk, by=None, at=AT)
    assert refusal.value.message == "This reservation is gone already."


def test_release_job_gives_all_back() -> None:
    job, kit, sand = won(), make_kit(), make_sand()
    make_requirement(job, kit, 2)
    make_requirement(job, sand, 2)
    make_lot(kit, 3)
    make_lot(sand, 3)
    reserve_job(job_id=job.pk, by=None, at=AT)
    assert release_job(job_id=job.pk, by=None, at=AT) == 2
    assert set(Lot.objects.values_list("reserved", flat=True)) == {0}


def test_pin_keeps_its_mark() -> None:
    job, kit = won(), make_kit()
    make_requirement(job, kit, 2)
    make_lot(kit, 3)
    reserve_job(job_id=job.pk, by=None, at=AT)
    row = Reservation.objects.get()
    assert pin_reservation(reservation_id=row.pk, pinned=True, by=None, at=AT).pinned
    assert not pin_reservation(reservation_id=row.pk, pinned=False, by=None, at=AT).pinned


def test_requirements_add_rows_of_one_kind_and_close_what_is_gone() -> None:
    job, kit, edging = won(), make_kit(), make_edging()
    require(job, NeedRow(kit.pk, 2), NeedRow(kit.pk, 3), NeedRow(edging.pk, 5000, phase="prepare"))
    assert {(row.item, row.quantity) for row in job_rows(job)} == {(kit, 5), (edging, 5000)}
    require(job, NeedRow(kit.pk, 4))
    assert {(need.item, need.short) for need in open_needs([job.pk])} == {(kit, 4)}


def test_a_smaller_requirement_frees_what_is_too_much() -> None:
    job, kit = won(), make_kit()
    require(job, NeedRow(kit.pk, 5))
    lot = make_lot(kit, 9)
    reserve_job(job_id=job.pk, by=None, at=AT)
    require(job, NeedRow(kit.pk, 3))
    lot.refresh_from_db()
    assert (lot.reserved, kept(job)) == (3, {lot.code: 3})
    require(job)
    lot.refresh_from_db()
    assert (lot.reserved, kept(job)) == (0, {})


def job_rows(job: Any) -> list[Requirement]:
    return list(Requirement.objects.filter(job=job))


def test_post_free_takes_the_last_made_first() -> None:
    first, second, kit = won(), won(), make_kit()
    make_requirement(first, kit, 2)
    make_requirement(second, kit, 2)
    lot = make_lot(kit, 4)
    reserve_job(job_id=first.pk, by=None, at=AT)
    reserve_job(job_id=second.pk, by=None, at=AT)
    with transaction.atomic():
        lot.refresh_from_db()
        assert post_free(lot=lot, quantity=3, by=None, at=AT, reason="counted") == 3
    assert (kept(first), kept(second)) == ({lot.code: 1}, {})
    lot.refresh_from_db()
    assert lot.reserved == 1


def test_open_needs_leaves_out_jobs_that_are_not_won_or_are_done() -> None:
    kit = make_kit()
    for stage in ("quoted", "won", "complete"):
        make_requirement(make_job(stage=stage), kit, 1)
    assert [need.job.stage for need in open_needs()] == ["won"]


@pytest.mark.parametrize("count", [1, 3])
def test_needs_are_two_queries_for_any_number_of_rows(
    count: int, django_assert_num_queries: Any
) -> None:
    job = won()
    for _ in range(count):
        make_requirement(job, make_kit(), 1)
        make_requirement(won(), make_kit(), 1)
    with django_assert_num_queries(2):
        assert len(job_needs(job.pk)) == count
    with django_assert_num_queries(2):
        assert len(open_needs()) == 2 * count


def test_a_substitute_is_reserved_when_allowed_and_comes_back_to_what_it_stood_in_for() -> None:
    job, gold, other = won(), make_stone(), make_stone(name="Other gold")
    need = make_requirement(job, gold, 3)
    make_lot(gold, 2, run="26-01")
    lot = make_lot(other, 5, run="26-02")
    assert not reserve_job(job_id=job.pk, by=None, at=AT).is_met
    card = Substitute.objects.create(item=gold, stand_in=other)
    result = reserve_job(job_id=job.pk, by=None, at=AT)
    assert kept(job) == {lot.code: 60_000}
    (pick,) = result.plan.picks
    assert pick.why.startswith(f"Other gold stands in for {gold.name}, as its card allows: ")
    issue_job(job_id=job.pk, key=uuid4(), day=DAY, by=None, at=AT)
    return_from_site(
        job_id=job.pk, rows=[ReturnRow(lot.pk, 20_000)], place_id=make_place().pk, key=uuid4(),
        day=DAY, by=None, at=AT,
    )  # fmt: skip
    need.refresh_from_db()
    assert need.issued == 40_000
    # What went is known from then; the card may allow it no longer.
    card.delete()
    assert not reserve_job(job_id=job.pk, by=None, at=AT).made
    card.save(force_insert=True)
    # What is short again is of the run that went to site, though the stone itself is there.
    make_lot(gold, 9, run="26-03")
    reserve_job(job_id=job.pk, by=None, at=AT)
    assert kept(job) == {lot.code: 20_000}


def test_a_substitute_in_another_unit_or_archived_is_none() -> None:
    job, gold, kit, old = won(), make_stone(), make_kit(), make_stone(archived_at=AT)
    make_requirement(job, gold, 1)
    make_lot(old, 5)
    make_lot(kit, 30_000)
    for stand_in in (kit, old):
        Substitute.objects.create(item=gold, stand_in=stand_in)
    assert not reserve_job(job_id=job.pk, by=None, at=AT).is_met


def test_reserving_says_the_least_bad_offers_with_the_pours_of_the_survey() -> None:
    job, gold = won(), make_stone()
    two_pours(job)
    make_requirement(job, gold, 20)
    make_lot(gold, 12, run="26-01")
    make_lot(gold, 10, run="26-02")
    (unmet,) = reserve_job(job_id=job.pk, by=None, at=AT).unmet
    assert [offer.split(":")[0] for offer in unmet.offers[:2]] == [
        "The same ratio in every mix",
        "A natural break",
    ]
    assert "10 bags of run 26-01 for path, 10 bags of run 26-02 for drive." in unmet.offers[1]
