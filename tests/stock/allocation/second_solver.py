"""The joint problem for a constraint solver (OR-Tools CP-SAT), written apart from the program.

Whole numbers throughout, a variable for every need and lot, no bins, and one objective after the
other. It shares nothing with the program under test but the problem itself.
"""

from __future__ import annotations

from collections import defaultdict
from typing import Any

from stock.allocation.rules.joint import Problem, Score, Spot


def best_score(problem: Problem, floor: dict[int, int], seconds: float = 20.0) -> Score:
    """Return the best score where no need gets less than its floor; all pack sizes must be 1."""
    # long because: one model, written down as the rules say it
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    gets: dict[Spot, Any] = {}
    surfaces: dict[object, list[Any]] = defaultdict(list)
    for need in problem.needs:
        for lot in problem.lots:
            in_date = lot.expiry is None or lot.expiry >= need.good_until
            if lot.item_id in (need.item_id, *need.substitutes) and in_date and not lot.held:
                gets[need.need_id, lot.lot_id] = model.new_int_var(0, need.quantity, "")
        if need.run_matched:
            surfaces[need.surface].append(need)
    for lot in problem.lots:
        model.add(sum(x for (_, pk), x in gets.items() if pk == lot.lot_id) <= lot.free)
    met = {
        need.need_id: sum(x for (pk, _), x in gets.items() if pk == need.need_id)
        for need in problem.needs
    }
    splits = [add_surface(model, problem, needs, gets, met) for needs in surfaces.values()]
    for need in problem.needs:
        model.add(met[need.need_id] <= need.quantity)
        model.add(met[need.need_id] >= floor.get(need.need_id, 0))
    moved = []
    for row in problem.present:
        move = model.new_bool_var("")
        held = gets.get((row.need_id, row.lot_id), 0)
        model.add(held + row.quantity * move >= row.quantity)
        moved.append(move)
    left = [
        (lot.free - sum(x for (_, pk), x in gets.items() if pk == lot.lot_id)) * lot.value
        for lot in problem.lots
        if lot.expiry is not None and lot.expiry < problem.until and not lot.held
    ]
    unmet = sum(need.quantity - met[need.need_id] for need in problem.needs) * 1000
    reached = []
    for objective in (unmet, sum(splits), sum(left), sum(moved)):
        model.minimize(objective)
        solver = cp_model.CpSolver()
        solver.parameters.max_time_in_seconds = seconds
        solver.parameters.num_workers = 1
        assert solver.solve(model) == cp_model.OPTIMAL
        value = round(solver.objective_value)
        model.add(objective <= value)
        reached.append(value)
    return Score(*reached)


def add_surface(
    model: Any, problem: Problem, needs: list[Any], gets: dict[Spot, Any], met: dict[int, Any]
) -> Any:
    """One run serves all needs of a surface, each whole or not at all; return whether it splits."""
    lots = {lot.lot_id: (lot.item_id, lot.run) for lot in problem.lots}
    serves = {run: model.new_bool_var("") for run in set(lots.values())}
    model.add(sum(serves.values()) <= 1)
    wholes = []
    for need in needs:
        whole = model.new_bool_var("")
        wholes.append(whole)
        model.add(met[need.need_id] == need.quantity * whole)
        for (pk, lot_id), x in gets.items():
            if pk == need.need_id:
                model.add(x <= need.quantity * serves[lots[lot_id]])
                if need.run and (need.run_item or need.item_id, need.run) != lots[lot_id]:
                    model.add(x == 0)
    split = model.new_bool_var("")
    there = any(need.run and need.in_hand for need in needs)
    for one in wholes:
        if there:
            model.add(split >= 1 - one)
        for other in wholes:
            model.add(split >= other - one)
    return split
