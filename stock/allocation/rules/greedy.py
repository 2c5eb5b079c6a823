"""Greedy allocation: the earliest day first, first expired first, one run for a colour group."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from stock.allocation.rules.offers import offers_for
from stock.allocation.rules.values import (
    LotView,
    Need,
    Pick,
    Plan,
    RunKey,
    Unmet,
    in_turn,
    is_usable,
    usable_first,
)
from stock.allocation.rules.why import stands_in, why_lot, why_no_run, why_run, why_short


def allocate(needs: Iterable[Need], lots: Iterable[LotView]) -> Plan:
    """Return which lots the needs get, booked jobs first and of those the earliest day.

    A need of run-matched stone is met whole by one run or not at all, and all needs of a job's
    colour group for the item by the same run; other needs take what there is. A lot is used
    only when it is released and good on the need's day with the item's margin. What may stand in
    for an item is taken only when the item itself will not do, and every such pick says so.
    """
    plan = Plan()
    there = lots_by_item(lots)
    free = {lot.lot_id: max(lot.free, 0) for found in there.values() for lot in found}
    runs: dict[tuple[int, int, str], RunKey] = {}
    for need in sorted(needs, key=in_turn):
        if need.quantity <= 0:
            continue
        choice = [lot for item_id in need.items for lot in there[item_id]]
        if need.run_matched:
            run = need.fixed_run or runs.get(need.surface)
            taken = match_run(plan, need, choice, free, run) or run
            if taken is not None:
                runs[need.surface] = taken
        else:
            take_first_expired(plan, need, choice, free)
    return plan


def lots_by_item(lots: Iterable[LotView]) -> dict[int, list[LotView]]:
    """Return lots by item, in the order in which they are used."""
    by_item: dict[int, list[LotView]] = defaultdict(list)
    for lot in sorted(lots, key=usable_first):
        by_item[lot.item_id].append(lot)
    return by_item


def take_first_expired(
    plan: Plan, need: Need, there: Sequence[LotView], free: dict[int, int]
) -> None:
    """Take lots in their order until the need is met or nothing usable is left.

    Of lots that expire on one day, one that has all that is still wanted goes before the nearest:
    resin is better of one batch.
    """
    left = need.quantity
    usable = [lot for lot in there if is_usable(lot, need)]
    waiting = [lot for lot in usable if free[lot.lot_id] > 0]
    while waiting and left:
        lot = whole_first(waiting, left, free)
        why = why_lot(lot, usable, need, whole=lot != waiting[0])
        waiting.remove(lot)
        part = min(left, free[lot.lot_id])
        free[lot.lot_id] -= part
        left -= part
        plan.picks.append(make_pick(need, lot, part, why))
    if left:
        plan.unmet.append(why_short(need, left, there, free))


def whole_first(waiting: Sequence[LotView], left: int, free: dict[int, int]) -> LotView:
    """Return the next lot: the first, or another of its item and date that alone is enough."""
    first = waiting[0]
    if first.expiry is None:
        return first
    alike = (
        lot for lot in waiting
        if (lot.item_id, lot.expiry) == (first.item_id, first.expiry) and free[lot.lot_id] >= left
    )  # fmt: skip
    return next(alike, first)


def make_pick(need: Need, lot: LotView, quantity: int, why: str) -> Pick:
    """Return a pick; of another item than was asked for, its why begins with that."""
    other = lot.item_id != need.item_id
    return Pick(need.need_id, lot.lot_id, quantity, stands_in(lot, need, why), substitute=other)


def match_run(
    plan: Plan, need: Need, there: Sequence[LotView], free: dict[int, int], run: RunKey | None
) -> RunKey | None:
    """Meet a need whole from one run and return it; None where no run has all of it."""
    runs: dict[RunKey, list[LotView]] = defaultdict(list)
    for lot in there:
        if is_usable(lot, need) and free[lot.lot_id] > 0 and run in {None, lot.run_key}:
            runs[lot.run_key].append(lot)
    enough = [
        found for found in runs.values()
        if sum(free[lot.lot_id] for lot in found) >= need.quantity
    ]  # fmt: skip
    if not enough:
        plan.unmet.append(no_run(need, there, free, run))
        return None
    # The first lot of each run says how soon it expires and how near it lies; of equals the run
    # that leaves the least over, so that a large one stays whole for a large job.
    chosen = min(
        enough,
        key=lambda found: (
            need.items.index(found[0].item_id), usable_first(found[0])[:2],
            sum(free[lot.lot_id] for lot in found), found[0].lot_id,
        ),
    )  # fmt: skip
    own = [found for found in enough if found[0].item_id == chosen[0].item_id]
    why = why_run(chosen[0].run, len(own), need, fixed=run is not None)
    left = need.quantity
    for lot in chosen:
        part = min(left, free[lot.lot_id])
        if part > 0:
            free[lot.lot_id] -= part
            left -= part
            plan.picks.append(make_pick(need, lot, part, why))
    return chosen[0].run_key


def no_run(need: Need, there: Sequence[LotView], free: dict[int, int], run: RunKey | None) -> Unmet:
    """Say why no run serves a need, with the least bad offers."""
    usable: dict[str, int] = defaultdict(int)
    own = run[0] if run else need.item_id
    for lot in there:
        if lot.item_id == own and is_usable(lot, need):
            usable[lot.run] += free[lot.lot_id]
    return why_no_run(need, there, free, run, offers_for(need, usable))
