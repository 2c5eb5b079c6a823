"""The laws of allocation, as properties over plain values, and its sentences.

First expired, first out: of goods that expire, those whose date comes first are used first
(the rule that good distribution practice asks of medicines and food; memory). One production run
for a surface, and a shortage of it is all or nothing: common practice of the trade, no source.

Long because: each law and each sentence has its own short test.
"""

from __future__ import annotations

import random
from collections import defaultdict
from datetime import date, timedelta

from hypothesis import given
from hypothesis import strategies as st

from stock.allocation.rules import Binds, LotView, Need, Plan, allocate, is_usable

DAY = date(2026, 5, 19)
days = st.integers(0, 30).map(lambda n: DAY + timedelta(days=n))
dates = st.integers(10, 40).map(lambda n: DAY + timedelta(days=n))


@st.composite
def worlds(draw: st.DrawFn) -> tuple[list[Need], list[LotView]]:
    lots = [
        LotView(
            lot_id=n, code=f"L-{n}", item_id=draw(st.integers(1, 2)),
            free=draw(st.integers(0, 8)), reserved=draw(st.integers(0, 3)),
            expiry=draw(st.none() | dates), run=draw(st.sampled_from("AB")),
            held=draw(st.sampled_from(["", "", "", "wet"])), near=draw(st.integers(0, 3)),
        )
        for n in range(draw(st.integers(2, 9)))
    ]  # fmt: skip
    needs = [
        Need(
            need_id=n, item_id=(item := draw(st.integers(1, 2))), name=f"item {item}",
            quantity=draw(st.integers(0, 12)), day=draw(days), job_id=draw(st.integers(1, 2)),
            colour_group=draw(st.sampled_from(["buff", "grey"])),
            margin_days=draw(st.integers(0, 7)), run_matched=item == 2,
        )
        for n in range(draw(st.integers(1, 5)))
    ]  # fmt: skip
    return needs, lots


def picked(plan: Plan, need: Need) -> int:
    return sum(pick.quantity for pick in plan.picks if pick.need_id == need.need_id)


def lacking(plan: Plan, need: Need) -> int:
    return sum(row.quantity for row in plan.unmet if row.need_id == need.need_id)


def left_over(plan: Plan, lots: list[LotView]) -> dict[int, int]:
    left = {lot.lot_id: lot.free for lot in lots}
    for pick in plan.picks:
        left[pick.lot_id] -= pick.quantity
    return left


@given(worlds())
def test_nothing_is_taken_twice_and_nothing_is_lost(
    world: tuple[list[Need], list[LotView]],
) -> None:
    needs, lots = world
    plan = allocate(needs, lots)
    assert all(left >= 0 for left in left_over(plan, lots).values())
    for need in needs:
        assert picked(plan, need) + lacking(plan, need) == need.quantity


@given(worlds())
def test_only_released_lots_in_date_with_the_margin_are_taken(
    world: tuple[list[Need], list[LotView]],
) -> None:
    needs, lots = world
    by_need = {need.need_id: need for need in needs}
    by_lot = {lot.lot_id: lot for lot in lots}
    for pick in allocate(needs, lots).picks:
        need, lot = by_need[pick.need_id], by_lot[pick.lot_id]
        assert lot.item_id == need.item_id
        assert not lot.held
        if lot.expiry is not None:
            assert lot.expiry >= need.day + timedelta(days=need.margin_days)


@given(worlds())
def test_a_later_date_is_taken_only_when_every_earlier_usable_one_is_empty(
    world: tuple[list[Need], list[LotView]],
) -> None:
    needs, lots = world
    plan = allocate(needs, lots)
    left = left_over(plan, lots)
    by_lot = {lot.lot_id: lot for lot in lots}
    for need in needs:
        if need.run_matched:
            continue
        for pick in (row for row in plan.picks if row.need_id == need.need_id):
            taken = by_lot[pick.lot_id].expiry or date.max
            for lot in lots:
                usable = lot.item_id == need.item_id and is_usable(lot, need)
                if usable and (lot.expiry or date.max) < taken:
                    assert left[lot.lot_id] == 0


@given(worlds())
def test_what_is_short_is_short_because_nothing_usable_is_left(
    world: tuple[list[Need], list[LotView]],
) -> None:
    needs, lots = world
    plan = allocate(needs, lots)
    left = left_over(plan, lots)
    for need in needs:
        if not need.run_matched and lacking(plan, need):
            usable = [lot for lot in lots if lot.item_id == need.item_id and is_usable(lot, need)]
            assert sum(left[lot.lot_id] for lot in usable) == 0


@given(worlds())
def test_run_matched_stone_is_of_one_run_for_a_colour_group_and_all_or_nothing(
    world: tuple[list[Need], list[LotView]],
) -> None:
    needs, lots = world
    plan = allocate(needs, lots)
    by_lot = {lot.lot_id: lot for lot in lots}
    runs: dict[tuple[int, str, int], set[str]] = defaultdict(set)
    for need in needs:
        if need.run_matched:
            assert picked(plan, need) in {0, need.quantity}
            for pick in plan.picks:
                if pick.need_id == need.need_id:
                    spot = (need.job_id, need.colour_group, need.item_id)
                    runs[spot].add(by_lot[pick.lot_id].run)
    assert all(len(found) == 1 for found in runs.values())


@given(worlds())
def test_a_single_run_matched_need_is_met_exactly_when_some_run_has_all_of_it(
    world: tuple[list[Need], list[LotView]],
) -> None:
    needs, lots = world
    for need in needs:
        if need.run_matched and need.quantity:
            totals: dict[str, int] = defaultdict(int)
            for lot in lots:
                if lot.item_id == need.item_id and is_usable(lot, need):
                    totals[lot.run] += lot.free
            met = picked(allocate([need], lots), need) == need.quantity
            assert met == any(total >= need.quantity for total in totals.values())


@given(worlds(), st.randoms(use_true_random=False))
def test_the_order_of_what_comes_in_does_not_matter(
    world: tuple[list[Need], list[LotView]], chance: random.Random
) -> None:
    needs, lots = world
    plan = allocate(needs, lots)
    shuffled_needs, shuffled_lots = list(needs), list(lots)
    chance.shuffle(shuffled_needs)
    chance.shuffle(shuffled_lots)
    assert allocate(shuffled_needs, shuffled_lots) == plan


@given(worlds())
def test_a_held_lot_changes_no_pick(world: tuple[list[Need], list[LotView]]) -> None:
    needs, lots = world
    more = LotView(lot_id=99, code="L-99", item_id=1, free=50, held="frozen")
    assert allocate(needs, [*lots, more]).picks == allocate(needs, lots).picks


# -- the sentences -------------------------------------------------------------------------------


def kits(quantity: int, **fields: object) -> Need:
    values: dict[str, object] = {
        "need_id": 1, "item_id": 1, "name": "Clear kit", "quantity": quantity, "day": DAY,
        "margin_days": 3, "pack_name": "kit",
    }  # fmt: skip
    return Need(**(values | fields))  # type: ignore[arg-type]


def stone(bags: int, **fields: object) -> Need:
    values: dict[str, object] = {
        "name": "Buff 2–5 mm", "run_matched": True, "pack_quantity": 20, "pack_name": "bag",
        "colour_group": "drive", "margin_days": 0,
    }  # fmt: skip
    return kits(bags * 20, **(values | fields))


def lot(lot_id: int, free: int, **fields: object) -> LotView:
    values: dict[str, object] = {"lot_id": lot_id, "code": f"L-{lot_id}", "item_id": 1}
    return LotView(free=free, **(values | fields))  # type: ignore[arg-type]


def test_each_pick_says_why() -> None:
    plan = allocate(
        [kits(5)],
        [
            lot(1, 3, expiry=date(2026, 6, 1), place="bay 1"),
            lot(2, 3, expiry=date(2026, 5, 25), place="bay 2"),
        ],
    )
    assert [(pick.lot_id, pick.quantity, pick.why) for pick in plan.picks] == [
        (2, 3, "first to expire: Mon 25 May, good for use on Tue 19 May, nearest in bay 2"),
        (1, 2, "next to expire: Mon 1 Jun, good for use on Tue 19 May, nearest in bay 1"),
    ]


def test_of_equal_dates_the_nearest_is_taken() -> None:
    lots = [
        lot(1, 3, expiry=DAY + timedelta(9), near=9),
        lot(2, 3, expiry=DAY + timedelta(9), near=1),
    ]
    assert [pick.lot_id for pick in allocate([kits(2)], lots).picks] == [2]


def test_of_equal_dates_one_batch_that_is_enough_goes_before_the_nearest() -> None:
    same = DAY + timedelta(9)
    lots = [
        lot(1, 2, expiry=same, near=1), lot(2, 5, expiry=same, near=8),
        lot(3, 5, expiry=same, near=9), lot(4, 9, expiry=DAY + timedelta(30)),
    ]  # fmt: skip
    plan = allocate([kits(4)], lots)
    assert [(pick.lot_id, pick.quantity) for pick in plan.picks] == [(2, 4)]
    assert "all of one batch" in plan.picks[0].why
    # What expires sooner still goes first, and the rest is of one batch.
    plan = allocate([kits(4)], [*lots, lot(5, 1, expiry=DAY + timedelta(5))])
    assert [(pick.lot_id, pick.quantity) for pick in plan.picks] == [(5, 1), (2, 3)]


def test_the_day_of_the_margin_itself_will_do_and_the_day_before_will_not() -> None:
    good = lot(1, 1, expiry=DAY + timedelta(days=3))
    late = lot(2, 1, expiry=DAY + timedelta(days=2))
    assert [pick.lot_id for pick in allocate([kits(2)], [good, late]).picks] == [1]


def test_the_date_binds() -> None:
    (row,) = allocate([kits(2)], [lot(1, 2, expiry=date(2026, 5, 20))]).unmet
    assert row.binds == Binds.DATE
    assert row.sentence == (
        "2 kits of Clear kit short: 2 kits in L-1 are not good until Fri 22 May; "
        "the first date is Wed 20 May."
    )
    assert row.remedy == "Use them on an earlier job, lay sooner, or order 2 kits."


def test_a_held_lot_binds() -> None:
    (row,) = allocate([kits(1)], [lot(1, 2, held="frozen")]).unmet
    assert (row.binds, row.sentence) == (
        Binds.HELD, "1 kit of Clear kit short: 2 kits lie held in L-1 (frozen).",
    )  # fmt: skip


def test_another_jobs_reservation_binds() -> None:
    (row,) = allocate([kits(1)], [lot(1, 0, reserved=4)]).unmet
    assert row.binds == Binds.RESERVED


def test_nothing_there_binds() -> None:
    (row,) = allocate([kits(3)], []).unmet
    assert (row.binds, row.sentence, row.remedy) == (
        Binds.NOTHING_THERE,
        "3 kits of Clear kit short: no more of it is in the yard.",
        "Order 3 kits.",
    )


def test_odd_bags_of_two_runs_are_not_kept() -> None:
    plan = allocate([stone(10)], [lot(1, 120, run="26-01"), lot(2, 160, run="26-02")])
    assert plan.picks == []
    (row,) = plan.unmet
    assert row.binds == Binds.ONE_RUN
    assert row.sentence == (
        "10 bags of Buff 2–5 mm for drive must be of one run: the most in one run is 8 bags of "
        "26-02, so none is kept."
    )
    assert row.remedy == "Order all 10 bags in one run. Odd bags of other runs do not count."


def test_a_run_in_two_lots_counts_as_one() -> None:
    plan = allocate([stone(10)], [lot(1, 120, run="26-01"), lot(2, 80, run="26-01")])
    assert [(pick.lot_id, pick.quantity) for pick in plan.picks] == [(1, 120), (2, 80)]


def test_the_run_that_is_there_already_is_the_only_one_that_will_do() -> None:
    lots = [lot(1, 400, run="26-01"), lot(2, 40, run="26-02")]
    plan = allocate([stone(2, run="26-02")], lots)
    assert [pick.lot_id for pick in plan.picks] == [2]
    assert allocate([stone(3, run="26-02")], lots).picks == []


def test_of_two_runs_that_would_do_the_smaller_goes_so_that_the_large_one_stays_whole() -> None:
    plan = allocate([stone(5)], [lot(1, 400, run="26-01"), lot(2, 100, run="26-02")])
    assert [pick.lot_id for pick in plan.picks] == [2]


def test_a_run_that_would_do_but_for_a_hold_or_another_job_is_named() -> None:
    held = allocate([stone(5)], [lot(1, 100, run="26-01", held="torn wrap")]).unmet[0]
    assert (held.binds, "run 26-01 would do, but L-1 is held (torn wrap)" in held.sentence) == (
        Binds.HELD, True,
    )  # fmt: skip
    taken = allocate([stone(5)], [lot(1, 60, run="26-01", reserved=40)]).unmet[0]
    assert (taken.binds, taken.remedy) == (
        Binds.RESERVED,
        "Release the other job's reservation of run 26-01. Order all 5 bags in one run.",
    )
