"""Greedy allocation: the earliest day first, first expired first, one run for a colour group."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence

from stock.allocation.rules.values import LotView, Need, Pick, Plan, is_usable, usable_first
from stock.allocation.rules.why import why_lot, why_no_run, why_run, why_short


def allocate(needs: Iterable[Need], lots: Iterable[LotView]) -> Plan:
    """Return which lots the needs get, the earliest day first.

    A need of run-matched stone is met whole by one run or not at all, and all needs of a job's
    colour group for the item by the same run; other needs take what there is. A lot is used
    only when it is released and good on the need's day with the item's margin.
    """
    plan = Plan()
    by_item: dict[int, list[LotView]] = defaultdict(list)
    for lot in sorted(lots, key=usable_first):
        by_item[lot.item_id].append(lot)
    free = {lot.lot_id: max(lot.free, 0) for found in by_item.values() for lot in found}
    runs: dict[tuple[int, int, str], str] = {}
    for need in sorted(needs, key=lambda need: (need.day, need.need_id)):
        if need.quantity <= 0:
            continue
        there = by_item[need.item_id]
        if need.run_matched:
            group = (need.job_id, need.item_id, need.colour_group)
            run = need.run or runs.get(group, "")
            runs[group] = match_run(plan, need, there, free, run) or run
        else:
            take_first_expired(plan, need, there, free)
    return plan


def take_first_expired(
    plan: Plan, need: Need, there: Sequence[LotView], free: dict[int, int]
) -> None:
    """Take lots in their order until the need is met or nothing usable is left."""
    left = need.quantity
    usable = [lot for lot in there if is_usable(lot, need)]
    for lot in usable:
        part = min(left, free[lot.lot_id])
        if part > 0:
            free[lot.lot_id] -= part
            left -= part
            plan.picks.append(Pick(need.need_id, lot.lot_id, part, why_lot(lot, usable, need)))
    if left:
        plan.unmet.append(why_short(need, left, there, free))


def match_run(
    plan: Plan, need: Need, there: Sequence[LotView], free: dict[int, int], run: str
) -> str:
    """Meet a need whole from one run and return it; '' where no run has all of it."""
    runs: dict[str, list[LotView]] = defaultdict(list)
    for lot in there:
        if is_usable(lot, need) and free[lot.lot_id] > 0 and run in {"", lot.run}:
            runs[lot.run].append(lot)
    enough = [
        found for found in runs.values()
        if sum(free[lot.lot_id] for lot in found) >= need.quantity
    ]  # fmt: skip
    if not enough:
        plan.unmet.append(why_no_run(need, there, free, run))
        return ""
    # The first lot of each run says how soon it expires and how near it lies; of equals the run
    # that leaves the least over, so that a large one stays whole for a large job.
    chosen = min(
        enough,
        key=lambda found: (
            usable_first(found[0])[:2], sum(free[lot.lot_id] for lot in found), found[0].lot_id,
        ),
    )  # fmt: skip
    why = why_run(chosen[0].run, len(enough), need, fixed=bool(run))
    left = need.quantity
    for lot in chosen:
        part = min(left, free[lot.lot_id])
        if part > 0:
            free[lot.lot_id] -= part
            left -= part
            plan.picks.append(Pick(need.need_id, lot.lot_id, part, why))
    return chosen[0].run
