"""The exact joint plan, by HiGHS; the only module that reaches a solver, and only when asked.

Level after level: what an earlier level has reached is kept while the next is bettered. Where time
runs out the best plan found so far stands, and it is never worse than the greedy one.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from stock.allocation.rules.bins import Bin, bins_of, is_best_already, parts_of, to_lots
from stock.allocation.rules.joint import Problem, Spot, faults, given, greedy_plan, judge, met
from stock.allocation.rules.program import LEVELS, Program, Terms, program_of
from stock.allocation.rules.reasons import explained
from stock.allocation.rules.values import Plan, in_turn

SECONDS = 5.0
# How much the last step weighs each level: amounts only, with every yes and no settled.
WEIGHTS = {"unmet": 1e7, "loss": 1e3}
OTHER_ITEM, LATER_LOT = 1e-3, 1e-5
SLACK = 1e-6


@dataclass(frozen=True)
class Exact:
    """A plan with whether it is proven to be the best, and whether it betters the greedy one."""

    plan: Plan
    proven: bool
    bettered: bool


def exact_plan(
    problem: Problem,
    *,
    seconds: float = SECONDS,
    greedy: Plan | None = None,
    tell: Callable[[int, int], None] | None = None,
) -> Exact:
    """Return the best plan for all needs together within so many seconds.

    `tell` hears how many of the parts that do not touch each other are done, of how many.
    """
    end = time.monotonic() + seconds
    begun = greedy or greedy_plan(problem)
    sums = given(begun)
    parts = parts_of(problem)
    better: dict[Spot, int] = {}
    proven = True
    bettered = False
    for done, part in enumerate(parts):
        if tell is not None:
            tell(done, len(parts))
        ids = {need.need_id for need in part.needs}
        start = {spot: quantity for spot, quantity in sums.items() if spot[0] in ids}
        found, sure = solve_part(part, start, end)
        if judge(part, found) < judge(part, start):
            bettered = True
            better |= found
        else:
            better |= start
        proven = proven and sure
    if tell is not None:
        tell(len(parts), len(parts))
    return Exact(explained(problem, better) if bettered else begun, proven, bettered)


def solve_part(
    problem: Problem, start: Mapping[Spot, int], end: float
) -> tuple[dict[Spot, int], bool]:
    """Return the best that was found for a part, and whether it is proven."""
    if is_best_already(problem, start):
        return dict(start), True
    floor = met(start)
    # What is reserved where makes many lots that are else alike: it comes in when all but the
    # moves is settled.
    alike = bins_of(replace(problem, present=()))
    first, sure = climb(problem, alike, start, floor, LEVELS[:-1], end)
    if not problem.present or not sure:
        return first, sure
    return climb(problem, bins_of(problem), first, floor, LEVELS[-1:], end)


def climb(
    problem: Problem,
    bins: Sequence[Bin],
    start: Mapping[Spot, int],
    floor: Mapping[int, int],
    levels: Sequence[str],
    end: float,
) -> tuple[dict[Spot, int], bool]:
    """Better a plan level after level; levels before the first keep what the start has."""
    built = program_of(problem, bins, start, floor)
    if not built.gets:  # nothing may serve any of them
        return dict(start), True
    values, proven = built.start, True
    kept = [keep(built, level, values) for level in LEVELS[: LEVELS.index(levels[0])]]
    for level in levels:
        if not built.costs[level]:
            continue
        answer = run(built, kept, built.costs[level], values, end)
        if answer is None:
            proven = False
            break
        values, proven = answer
        if not proven:
            break
        kept.append(keep(built, level, values))
    found = settle(problem, bins, built, values)
    if found is None or faults(problem, found):
        return dict(start), False
    return found, proven


def keep(built: Program, level: str, values: Sequence[float]) -> tuple[float, float, Terms]:
    """Return the row that lets a level become no worse than it is."""
    costs = built.costs[level]
    reached = sum(values[column] * amount for column, amount in costs.items())
    return -float("inf"), reached + SLACK * max(1.0, abs(reached)), costs


def settle(
    problem: Problem, bins: Sequence[Bin], built: Program, values: Sequence[float]
) -> dict[Spot, int] | None:
    """Fix every yes and no and share the amounts out anew, first expired first, in whole units."""
    order = {need.need_id: n for n, need in enumerate(sorted(problem.needs, key=in_turn))}
    own = {need.need_id: need.item_id for need in problem.needs}
    count = len(order) or 1
    costs: Terms = {}
    for level, weight in WEIGHTS.items():
        for column, amount in built.costs[level].items():
            costs[column] = costs.get(column, 0.0) + weight * amount
    for (need_id, number), (column, units) in built.gets.items():
        if not built.whole[column]:
            early = 1.0 + (count - order[need_id]) / (1000.0 * count)
            other = OTHER_ITEM if bins[number].first.item_id != own[need_id] else 0.0
            per = units / built.unit * (LATER_LOT * (number + 1) / len(bins) * early + other)
            costs[column] = costs.get(column, 0.0) + per
    pairs = zip(values, built.whole, strict=True)
    settled = [round(value) if whole else None for value, whole in pairs]
    fixed = Program(
        built.unit, bounds(settled, built.lower), bounds(settled, built.upper),
        [False] * len(settled), list(values), built.rows,
    )  # fmt: skip
    answer = run(fixed, [], costs, values, time.monotonic() + 2.0)
    if answer is None:
        return None
    amounts = {
        spot: round(answer[0][column]) * units for spot, (column, units) in built.gets.items()
    }
    return to_lots(problem, bins, {spot: n for spot, n in amounts.items() if n > 0})


def bounds(settled: Sequence[int | None], otherwise: Sequence[float]) -> list[float]:
    """Return the settled values, and the bounds of what is not settled."""
    pairs = zip(settled, otherwise, strict=True)
    return [bound if value is None else float(value) for value, bound in pairs]


def run(
    built: Program,
    more: Sequence[tuple[float, float, Terms]],
    costs: Terms,
    start: Sequence[float],
    end: float,
) -> tuple[list[float], bool] | None:
    """Let HiGHS minimise one level; return the columns and whether they are proven best."""
    import highspy  # noqa: PLC0415 - a solver is loaded by those who solve, never by a page

    left = end - time.monotonic()
    if left <= 0:
        return None
    solver = highspy.Highs()  # type: ignore[no-untyped-call]
    for option, value in (
        ("output_flag", False), ("time_limit", left), ("mip_rel_gap", 1e-9), ("mip_abs_gap", 1e-6),
        ("random_seed", 1), ("threads", 1),
    ):  # fmt: skip
        solver.setOptionValue(option, value)
    solver.passModel(as_lp(highspy, built, [*built.rows, *more], costs))
    if any(built.whole):
        begin = highspy.HighsSolution()
        begin.col_value = list(start)
        solver.setSolution(begin)
    solver.run()
    feasible = solver.getInfo().primal_solution_status == highspy.kSolutionStatusFeasible
    if not feasible:
        return None
    optimal = solver.getModelStatus() == highspy.HighsModelStatus.kOptimal
    return list(solver.getSolution().col_value), optimal


def as_lp(
    highspy: Any, built: Program, rows: Sequence[tuple[float, float, Terms]], costs: Terms
) -> Any:
    """Return the program as HiGHS takes it, row after row."""
    lp = highspy.HighsLp()
    count = len(built.lower)
    lp.num_col_, lp.num_row_ = count, len(rows)
    lp.col_cost_ = [costs.get(column, 0.0) for column in range(count)]
    lp.col_lower_, lp.col_upper_ = built.lower, built.upper
    kinds = highspy.HighsVarType
    lp.integrality_ = [kinds.kInteger if whole else kinds.kContinuous for whole in built.whole]
    infinite = highspy.kHighsInf
    lp.row_lower_ = [max(least, -infinite) for least, _, _ in rows]
    lp.row_upper_ = [min(most, infinite) for _, most, _ in rows]
    starts, index, value = [0], [], []
    for _, _, terms in rows:
        index += list(terms)
        value += list(terms.values())
        starts.append(len(index))
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_, lp.a_matrix_.index_, lp.a_matrix_.value_ = starts, index, value
    return lp
