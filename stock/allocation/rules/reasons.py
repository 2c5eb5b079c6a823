"""A joint plan with its whys: which lots, why each, and what stays unmet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence

from stock.allocation.rules.greedy import lots_by_item, make_pick, no_run
from stock.allocation.rules.joint import Problem, Spot, is_dying, met, used
from stock.allocation.rules.values import LotView, Need, Plan, in_turn, is_usable
from stock.allocation.rules.why import day_words, why_lot, why_short

STAYS = "stays: it is reserved for this already"


def explained(problem: Problem, sums: Mapping[Spot, int]) -> Plan:
    """Return what needs get as a plan, with a why for every lot and every shortage."""
    plan = Plan()
    there = lots_by_item(problem.lots)
    taken = used(sums)
    free = {lot.lot_id: lot.free - taken.get(lot.lot_id, 0) for lot in problem.lots}
    got = met(sums)
    now: dict[Spot, int] = {(row.need_id, row.lot_id): row.quantity for row in problem.present}
    by_need: dict[int, list[LotView]] = defaultdict(list)
    lots = {lot.lot_id: lot for lot in problem.lots}
    for need_id, lot_id in sorted(sums):
        by_need[need_id].append(lots[lot_id])
    for need in sorted(problem.needs, key=in_turn):
        choice = [lot for item_id in need.items for lot in there[item_id]]
        for lot in by_need[need.need_id]:
            spot = (need.need_id, lot.lot_id)
            why = STAYS if now.get(spot, 0) >= sums[spot] else joint_why(problem, need, lot, choice)
            plan.picks.append(make_pick(need, lot, sums[spot], why))
        left = need.quantity - got.get(need.need_id, 0)
        if left > 0 and need.run_matched:
            plan.unmet.append(no_run(need, choice, free, need.fixed_run))
        elif left > 0:
            plan.unmet.append(why_short(need, left, choice, free))
    return plan


def joint_why(problem: Problem, need: Need, lot: LotView, choice: Sequence[LotView]) -> str:
    """Say why this lot serves this need when all jobs are looked at together."""
    if need.run_matched:
        group = f" of {need.colour_group}" if need.colour_group else ""
        return f"run {lot.run} serves all {need.words(need.quantity)}{group}"
    usable = [other for other in choice if is_usable(other, need)]
    why = why_lot(lot, usable, need)
    if is_dying(lot, problem):
        return f"{why}; unused it would be lost before {day_words(problem.until)}"
    return why
