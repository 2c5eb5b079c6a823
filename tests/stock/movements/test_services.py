"""Issue, return, waste, transfer, count, and undoing them.

Long because: each refusal and each state has its own short test.
"""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.db.models import Sum

from jobs.costing.models import CostEntry
from jobs.kernel.errors import ServiceError
from stock.allocation.models import Requirement, Reservation
from stock.allocation.queries import open_needs
from stock.allocation.services import reserve_job
from stock.ledger.models import Balance, Lot, Posting
from stock.ledger.queries import place
from stock.ledger.services import hold_lot
from stock.movements.services import (
    ReturnRow,
    count_place,
    issue_job,
    mark_picked,
    return_from_site,
    transfer_stock,
    undo_posting,
    waste_stock,
)
from tests.factories import (
    AT,
    DAY,
    make_booking,
    make_job,
    make_kit,
    make_lot,
    make_place,
    make_requirement,
    make_sand,
    make_stone,
)

pytestmark = pytest.mark.django_db
BAG = 20_000


def reserved_job(item: Any, packs: int, *, spare: int = 0, **lot: Any) -> tuple[Any, Lot]:
    """A won job with so many packs of a lot reserved, and so many of the lot beside."""
    job = make_job(stage="won")
    make_requirement(job, item, packs)
    made = make_lot(item, packs + spare, **lot)
    reserve_job(job_id=job.pk, by=None, at=AT)
    made.refresh_from_db()
    assert made.reserved == packs * item.pack_quantity
    return job, made


def issue(job: Any, **fields: Any) -> Posting:
    return issue_job(
        **{"job_id": job.pk, "key": uuid4(), "day": DAY, "by": None, "at": AT} | fields
    )


def bring_back(job: Any, *rows: ReturnRow, **fields: Any) -> Posting:
    bay = fields.pop("bay", None) or make_place()
    values: dict[str, Any] = {"place_id": bay.pk, "key": uuid4(), "day": DAY, "by": None, "at": AT}
    return return_from_site(job_id=job.pk, rows=rows, **values | fields)


def actual(job: Any) -> Decimal:
    total = CostEntry.objects.filter(job=job).aggregate(all=Sum("amount"))["all"]
    return total or Decimal("0.00")


def test_issue_takes_what_is_reserved_to_the_site() -> None:
    job, lot = reserved_job(make_kit(), 3)
    posting = issue(job)
    lot.refresh_from_db()
    assert (lot.on_hand, lot.reserved, lot.at_sites) == (0, 0, 3)
    assert (Requirement.objects.get().issued, Reservation.objects.count()) == (3, 0)
    assert [move.to_place for move in posting.movements.all()] == [place("site", job)]
    assert actual(job) == Decimal("30.00")
    assert open_needs([job.pk]) == []


def test_issue_twice_with_one_key_issues_once() -> None:
    job, lot = reserved_job(make_kit(), 3)
    key = uuid4()
    assert issue(job, key=key) == issue(job, key=key)
    lot.refresh_from_db()
    assert (lot.at_sites, actual(job)) == (3, Decimal("30.00"))


def test_issue_without_a_reservation_says_so() -> None:
    job = make_job(stage="won")
    with pytest.raises(ServiceError) as refusal:
        issue(job)
    assert refusal.value.message == (f"Nothing is reserved for {job.reference}. Reserve first.")


def test_issue_draws_the_nearest_place_first() -> None:
    kit, near, far = make_kit(), make_place(near=1), make_place(near=9)
    job, lot = reserved_job(kit, 3, spare=2, place=far)
    transfer_stock(
        lot_id=lot.pk, from_place_id=far.pk, to_place_id=near.pk, quantity=2, key=uuid4(),
        day=DAY, by=None, at=AT,
    )  # fmt: skip
    issue(job)
    left = dict(Balance.objects.filter(lot=lot).values_list("place_id", "quantity"))
    assert (left[near.pk], left[far.pk]) == (0, 2)


def test_a_held_lot_or_a_kit_out_of_date_stops_the_whole_issue() -> None:
    job, lot = reserved_job(make_kit(), 3)
    hold_lot(lot_id=lot.pk, reason="frozen", by=None, at=AT)
    with pytest.raises(ServiceError) as refusal:
        issue(job)
    assert refusal.value.code == "held"
    lot.refresh_from_db()
    assert (lot.on_hand, lot.reserved, actual(job)) == (3, 3, Decimal("0.00"))
    other, lot = reserved_job(make_kit(), 3, expiry=DAY + timedelta(days=20))
    with pytest.raises(ServiceError) as refusal:
        issue(other, day=DAY + timedelta(days=21))
    assert refusal.value.code == "out_of_date"


def test_issue_of_one_phase_leaves_the_other_reserved() -> None:
    job, kit, sand = make_job(stage="won"), make_kit(), make_sand()
    make_requirement(job, kit, 1, phase="lay")
    make_requirement(job, sand, 1, phase="prepare")
    make_lot(kit, 1)
    make_lot(sand, 1)
    reserve_job(job_id=job.pk, by=None, at=AT)
    issue(job, phase="prepare")
    assert Reservation.objects.get().lot.item == kit


def test_unopened_kits_come_back_at_their_cost_and_are_wanted_again_before_the_lay_day() -> None:
    job, lot = reserved_job(make_kit(), 3)
    make_booking(job, day=DAY + timedelta(days=3))
    issue(job)
    bring_back(job, ReturnRow(lot.pk, 2))
    lot.refresh_from_db()
    assert (lot.on_hand, lot.at_sites, actual(job)) == (2, 1, Decimal("10.00"))
    assert [need.short for need in open_needs([job.pk])] == [2]


def test_what_comes_back_on_the_lay_day_is_not_wanted_again() -> None:
    job, lot = reserved_job(make_kit(), 3)
    make_booking(job, day=DAY)
    issue(job)
    bring_back(job, ReturnRow(lot.pk, 1))
    assert open_needs([job.pk]) == []


def test_an_opened_kit_does_not_come_back() -> None:
    job, lot = reserved_job(make_kit(), 3)
    issue(job)
    with pytest.raises(ServiceError) as refusal:
        bring_back(job, ReturnRow(lot.pk, 1, opened=True))
    assert refusal.value.message == (
        f"An opened kit does not come back: book what is left of {lot.code} as waste."
    )
    lot.refresh_from_db()
    assert (lot.at_sites, lot.on_hand) == (3, 0)


def test_a_kit_past_its_date_does_not_come_back() -> None:
    job, lot = reserved_job(make_kit(), 3, expiry=DAY + timedelta(days=20))
    issue(job)
    with pytest.raises(ServiceError) as refusal:
        bring_back(job, ReturnRow(lot.pk, 1), day=DAY + timedelta(days=21))
    assert refusal.value.code == "no_return"


def test_an_opened_bag_comes_back_held_as_a_lot_of_its_own() -> None:
    job, lot = reserved_job(make_stone(), 3)
    issue(job)
    bring_back(job, ReturnRow(lot.pk, BAG), ReturnRow(lot.pk, 7_000, opened=True))
    lot.refresh_from_db()
    part = Lot.objects.get(parent=lot)
    assert (lot.on_hand, lot.at_sites, lot.status) == (BAG, 2 * BAG - 7_000, "released")
    assert (part.on_hand, part.status, part.run) == (7_000, "held", lot.run)
    assert part.held_reason == f"opened at {job.reference}"
    # Every penny of the lot: on the job, in the split-off lot, or still to be taken.
    assert actual(job) == Decimal("30.00") - Decimal("10.00") - Decimal("3.50")
    assert part.cost == Decimal("3.50")


def test_a_part_of_a_bag_is_not_an_unopened_one() -> None:
    job, lot = reserved_job(make_stone(), 3)
    issue(job)
    with pytest.raises(ServiceError) as refusal:
        bring_back(job, ReturnRow(lot.pk, 7_000))
    assert refusal.value.code == "no_return"


def test_more_than_went_out_cannot_come_back() -> None:
    job, lot = reserved_job(make_kit(), 3)
    issue(job)
    with pytest.raises(ServiceError) as refusal:
        bring_back(job, ReturnRow(lot.pk, 4))
    assert refusal.value.code == "short"
    assert actual(job) == Decimal("30.00")


def test_waste_wants_a_reason_and_frees_what_rested_on_it() -> None:
    bay = make_place()
    job, lot = reserved_job(make_kit(), 3, place=bay)
    values: dict[str, Any] = {
        "lot_id": lot.pk, "place_id": bay.pk, "quantity": 1, "day": DAY, "by": None, "at": AT,
    }  # fmt: skip
    with pytest.raises(ServiceError) as refusal:
        waste_stock(reason=" ", key=uuid4(), **values)
    assert refusal.value.field == "reason"
    waste_stock(reason="set solid, to the licensed tip", key=uuid4(), **values)
    lot.refresh_from_db()
    assert (lot.on_hand, lot.reserved) == (2, 2)
    assert [need.short for need in open_needs([job.pk])] == [1]


def test_waste_at_the_site_stays_on_the_job() -> None:
    job, lot = reserved_job(make_kit(), 3)
    issue(job)
    waste_stock(
        lot_id=lot.pk, place_id=place("site", job).pk, quantity=1, reason="opened", key=uuid4(),
        day=DAY, by=None, at=AT,
    )  # fmt: skip
    lot.refresh_from_db()
    assert (lot.at_sites, actual(job)) == (2, Decimal("30.00"))


def count(spot: Any, counted: dict[int, int], **fields: Any) -> Any:
    return count_place(
        **{"place_id": spot.pk, "counted": counted, "key": uuid4(), "by": None, "at": AT} | fields
    )


def test_a_count_that_agrees_writes_nothing() -> None:
    bay = make_place()
    lot = make_lot(make_kit(), 3, place=bay)
    result = count(bay, {lot.pk: 3})
    assert (result.posting, result.differences) == (None, [])


def test_a_count_books_the_difference_both_ways() -> None:
    bay = make_place()
    more, less = make_lot(make_kit(), 3, place=bay), make_lot(make_kit(), 3, place=bay)
    result = count(bay, {more.pk: 4, less.pk: 1})
    assert [(row.lot, row.change) for row in result.differences] == [(more, 1), (less, -2)]
    more.refresh_from_db()
    less.refresh_from_db()
    assert (more.on_hand, less.on_hand) == (4, 1)


def test_a_large_difference_needs_one_who_may_approve() -> None:
    bay = make_place()
    lot = make_lot(make_kit(), 9, place=bay)
    with pytest.raises(ServiceError) as refusal:
        count(bay, {lot.pk: 3})
    assert refusal.value.code == "approve"
    count(bay, {lot.pk: 4})  # £50.00, which is the limit
    count(bay, {lot.pk: 10}, may_approve=True)
    lot.refresh_from_db()
    assert lot.on_hand == 10


def test_a_count_frees_reservations_that_rested_on_nothing() -> None:
    bay = make_place()
    job, lot = reserved_job(make_kit(), 3, place=bay)
    count(bay, {lot.pk: 1})
    lot.refresh_from_db()
    assert (lot.on_hand, lot.reserved) == (1, 1)
    assert [need.short for need in open_needs([job.pk])] == [2]


def test_the_waste_place_is_not_counted() -> None:
    with pytest.raises(ServiceError) as refusal:
        count(place("waste"), {})
    assert refusal.value.code == "place"


def undo(posting: Posting, **fields: Any) -> Posting:
    values: dict[str, Any] = {"reason": "wrong job", "key": uuid4(), "by": None, "at": AT}
    return undo_posting(posting_id=posting.pk, **values | fields)


def test_an_issue_is_undone_whole_with_its_cost() -> None:
    job, lot = reserved_job(make_kit(), 3)
    undone = undo(issue(job))
    lot.refresh_from_db()
    assert (undone.kind, lot.on_hand, lot.at_sites, lot.costed) == ("return", 3, 0, 0)
    assert actual(job) == Decimal("0.00")
    assert Requirement.objects.get().issued == 0


def test_a_return_a_waste_a_transfer_and_a_count_are_undone() -> None:
    bay, van = make_place(), make_place("van")
    job, lot = reserved_job(make_kit(), 3, place=bay)
    issue(job)
    undo(bring_back(job, ReturnRow(lot.pk, 1), bay=bay))
    lot.refresh_from_db()
    assert (lot.on_hand, lot.at_sites, actual(job)) == (0, 3, Decimal("30.00"))
    bring_back(job, ReturnRow(lot.pk, 3), bay=bay)
    values: dict[str, Any] = {"lot_id": lot.pk, "quantity": 1, "day": DAY, "by": None, "at": AT}
    undo(waste_stock(place_id=bay.pk, reason="torn", key=uuid4(), **values))
    undo(transfer_stock(from_place_id=bay.pk, to_place_id=van.pk, key=uuid4(), **values))
    undo(count(bay, {lot.pk: 2}).posting)
    assert {row.place: row.quantity for row in Balance.objects.filter(lot=lot, quantity__gt=0)} == {
        bay: 3
    }


def test_undo_happens_once_and_only_of_what_it_may() -> None:
    job, lot = reserved_job(make_kit(), 3)
    posting = issue(job)
    counter = undo(posting)
    for again in (posting, counter, lot.movements.earliest("pk").posting):
        with pytest.raises(ServiceError):
            undo(again)
    assert Posting.objects.count() == 3


def test_picked_marks_what_is_reserved() -> None:
    job, _ = reserved_job(make_kit(), 3)
    assert mark_picked(job_id=job.pk, by=None, at=AT) == 1
    assert mark_picked(job_id=job.pk, by=None, at=AT) == 0
    assert Reservation.objects.get().picked_at == AT
