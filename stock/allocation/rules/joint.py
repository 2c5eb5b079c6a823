"""All jobs of the horizon together: the problem, what makes one plan better, and the greedy plan.

A plan is better than another when, in this order, it leaves less unmet, fewer surfaces split, less
to expire unused, and fewer of the present reservations moved. No need gets less than the greedy
plan gives it, so that no job pays for another's gain.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import NamedTuple

from stock.allocation.rules.greedy import allocate
from stock.allocation.rules.values import (
    LotView,
    Need,
    Pick,
    Plan,
    RunKey,
    is_usable,
    usable_first,
)

Spot = tuple[int, int]  # need, lot
MILLI = 1000


@dataclass(frozen=True)
class Present:
    """A reservation that may move: so much of a lot that a need has now."""

    need_id: int
    lot_id: int
    quantity: int


@dataclass(frozen=True)
class Problem:
    """Needs of all jobs of the horizon, the lots, and what may move.

    A need's `quantity` is what it lacks and what it holds by reservations that may move; a lot's
    `free` counts those back in. What is picked, labelled, pinned or near to its laying is in
    neither. `until` is the first day beyond the horizon: what is past its date by then and used by
    nobody is lost.
    """

    needs: tuple[Need, ...]
    lots: tuple[LotView, ...]
    present: tuple[Present, ...] = ()
    until: date = date.max


class Score(NamedTuple):
    """What a plan is judged by, the first first; less is better.

    `unmet` in thousandths of a pack, `split` in surfaces, `loss` in thousandths of a penny, `moves`
    in reservations that lose something.
    """

    unmet: int
    split: int
    loss: int
    moves: int


def given(plan: Plan) -> dict[Spot, int]:
    """Return how much each need gets of each lot."""
    sums: dict[Spot, int] = defaultdict(int)
    for pick in plan.picks:
        sums[pick.need_id, pick.lot_id] += pick.quantity
    return dict(sums)


def met(sums: Mapping[Spot, int]) -> dict[int, int]:
    """Return how much each need gets in all."""
    found: dict[int, int] = defaultdict(int)
    for (need_id, _), quantity in sums.items():
        found[need_id] += quantity
    return found


def used(sums: Mapping[Spot, int]) -> dict[int, int]:
    """Return how much is used of each lot."""
    found: dict[int, int] = defaultdict(int)
    for (_, lot_id), quantity in sums.items():
        found[lot_id] += quantity
    return found


def judge(problem: Problem, sums: Mapping[Spot, int]) -> Score:
    """Return the score of what needs get; what they hold now is judged the same way."""
    got = met(sums)
    unmet = sum(
        max(need.quantity - got.get(need.need_id, 0), 0) * MILLI // need.pack_quantity
        for need in problem.needs
    )
    moves = sum(
        sums.get((row.need_id, row.lot_id), 0) < row.quantity for row in problem.present
    )  # fmt: skip
    loss = sum(quantity * lot.value for lot, quantity in lost(problem, sums))
    return Score(unmet, len(split_surfaces(problem, sums)), loss, moves)


def lost(problem: Problem, sums: Mapping[Spot, int]) -> list[tuple[LotView, int]]:
    """Return the lots of which something expires unused within the horizon, and how much."""
    taken = used(sums)
    left = (
        (lot, lot.free - taken.get(lot.lot_id, 0)) for lot in problem.lots if is_dying(lot, problem)
    )
    return [(lot, quantity) for lot, quantity in left if quantity > 0]


def is_dying(lot: LotView, problem: Problem) -> bool:
    """Return whether a lot will be past its date by the horizon's end; held ones wait apart."""
    return lot.expiry is not None and lot.expiry < problem.until and not lot.held


def split_surfaces(problem: Problem, sums: Mapping[Spot, int]) -> set[tuple[int, int, str]]:
    """Return the surfaces of which one run serves only a part, or that two runs serve."""
    by_lot = {lot.lot_id: lot for lot in problem.lots}
    by_need = {need.need_id: need for need in problem.needs if need.run_matched}
    runs: dict[tuple[int, int, str], set[RunKey]] = defaultdict(set)
    for need in by_need.values():
        if need.fixed_run and need.in_hand:
            runs[need.surface].add(need.fixed_run)
    for (need_id, lot_id), quantity in sums.items():
        if need_id in by_need and quantity:
            runs[by_need[need_id].surface].add(by_lot[lot_id].run_key)
    got = met(sums)
    short = {need.surface for need in by_need.values() if got.get(need.need_id, 0) < need.quantity}
    return {surface for surface, served in runs.items() if len(served) > 1 or surface in short}


def faults(problem: Problem, sums: Mapping[Spot, int]) -> list[str]:
    """Return what breaks a rule in a plan; [] for one that may be carried out."""
    needs = {need.need_id: need for need in problem.needs}
    lots = {lot.lot_id: lot for lot in problem.lots}
    found = [f"{lots[pk].code} is used twice" for pk, n in used(sums).items() if n > lots[pk].free]
    runs: dict[tuple[int, int, str], set[RunKey]] = defaultdict(set)
    for (need_id, lot_id), quantity in sums.items():
        need, lot = needs[need_id], lots[lot_id]
        if quantity < 0 or lot.item_id not in need.items or not is_usable(lot, need):
            found.append(f"{lot.code} may not serve need {need_id}")
        if need.run_matched and quantity:
            runs[need.surface].add(lot.run_key)
            if need.fixed_run not in {None, lot.run_key}:
                found.append(f"need {need_id} has another run already")
    found += [f"{surface} is of two runs" for surface, served in runs.items() if len(served) > 1]
    for need_id, quantity in met(sums).items():
        need = needs[need_id]
        if quantity > need.quantity or (need.run_matched and quantity not in {0, need.quantity}):
            found.append(f"need {need_id} gets {quantity} of {need.quantity}")
    return found


# -- the greedy plan -----------------------------------------------------------------------------


def greedy_plan(problem: Problem) -> Plan:
    """Return the better of two plans made at once: around what is reserved, or all afresh."""
    around, afresh = around_present(problem), allocate(problem.needs, problem.lots)
    return min((around, afresh), key=lambda plan: judge(problem, given(plan)))


def around_present(problem: Problem) -> Plan:
    """Keep the present reservations that obey the rules, and serve the rest around them.

    A surface whose rest the same run cannot give keeps nothing: all or nothing.
    """
    kept = valid_present(problem)
    while True:
        plan = Plan(picks=[stay(problem, row) for row in kept])
        taken = used({(row.need_id, row.lot_id): row.quantity for row in kept})
        lots = [replace(lot, free=lot.free - taken.get(lot.lot_id, 0)) for lot in problem.lots]
        rest = allocate(left_to_serve(problem, kept), lots)
        failed = {row.need_id for row in rest.unmet}
        surfaces = {need.surface for need in problem.needs if need.need_id in failed}
        broken = {
            need.need_id for need in problem.needs if need.run_matched and need.surface in surfaces
        }
        if not any(row.need_id in broken for row in kept):
            plan.picks += rest.picks
            plan.unmet += rest.unmet
            return plan
        kept = [row for row in kept if row.need_id not in broken]


def left_to_serve(problem: Problem, kept: Iterable[Present]) -> list[Need]:
    """Return the needs less what they keep; stone goes on in the run it keeps."""
    lots = {lot.lot_id: lot for lot in problem.lots}
    parts: dict[int, int] = defaultdict(int)
    runs: dict[tuple[int, int, str], RunKey] = {}
    by_need = {need.need_id: need for need in problem.needs}
    for row in kept:
        parts[row.need_id] += row.quantity
        runs[by_need[row.need_id].surface] = lots[row.lot_id].run_key
    found = []
    for need in problem.needs:
        run = runs.get(need.surface) if need.run_matched else None
        fixed = {"run_item": run[0], "run": run[1]} if run else {}
        left = need.quantity - parts[need.need_id]
        found.append(replace(need, quantity=left, **fixed))  # type: ignore[arg-type]
    return found


def valid_present(problem: Problem) -> list[Present]:
    """Return the present reservations that a plan may keep; of a surface, those of one run."""
    needs = {need.need_id: need for need in problem.needs}
    lots = {lot.lot_id: lot for lot in problem.lots}
    there: dict[tuple[int, int, str], dict[RunKey, int]] = defaultdict(lambda: defaultdict(int))
    fit = []
    for row in problem.present:
        need, lot = needs[row.need_id], lots[row.lot_id]
        if lot.item_id in need.items and is_usable(lot, need):
            fit.append(row)
            there[need.surface][lot.run_key] += row.quantity
    kept = []
    for row in fit:
        need, run = needs[row.need_id], lots[row.lot_id].run_key
        most = max(there[need.surface].items(), key=lambda found: (found[1], found[0]))[0]
        if not need.run_matched or run == (need.fixed_run or most):
            kept.append(row)
    return kept


def stay(problem: Problem, row: Present) -> Pick:
    """Return a present reservation as a pick."""
    need = next(need for need in problem.needs if need.need_id == row.need_id)
    lot = next(lot for lot in problem.lots if lot.lot_id == row.lot_id)
    return Pick(
        row.need_id, row.lot_id, row.quantity, "stays: it is reserved for this already",
        substitute=lot.item_id != need.item_id,
    )  # fmt: skip


def in_lot_order(lots: Iterable[LotView]) -> list[LotView]:
    """Return lots in the order in which they are used."""
    return sorted(lots, key=usable_first)
