"""The joint problem of some items as a mixed-integer program, as plain numbers for any solver.

Lots that are alike (item, run, date, worth) and of which nothing is reserved count as one bin.
Stone goes by a yes or no for each surface and run; the rest by amounts. The amounts alone are a
transport problem, whose best corner is in whole numbers once every yes and no is settled.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import gcd

from stock.allocation.rules.bins import Bin
from stock.allocation.rules.joint import (
    Problem,
    Spot,
    is_dying,
    met,
)
from stock.allocation.rules.values import Need, RunKey, in_turn, is_usable

LEVELS = ("unmet", "split", "loss", "moves")
Terms = dict[int, float]  # column -> coefficient


@dataclass
class Program:
    """Columns with bounds, rows with bounds, and a cost of each column for each level."""

    unit: int = 1
    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    whole: list[bool] = field(default_factory=list)
    start: list[float] = field(default_factory=list)
    rows: list[tuple[float, float, Terms]] = field(default_factory=list)
    costs: dict[str, Terms] = field(default_factory=lambda: {name: {} for name in LEVELS})
    # What a need gets of a bin: (need, bin) -> (column, units of one).
    gets: dict[tuple[int, int], tuple[int, int]] = field(default_factory=dict)

    def column(self, most: float, start: float, *, whole: bool = False, least: float = 0) -> int:
        """Add a column and return its number."""
        self.lower.append(least)
        self.upper.append(most)
        self.whole.append(whole)
        self.start.append(start)
        return len(self.lower) - 1

    def row(self, least: float, terms: Mapping[int, float], most: float) -> None:
        """Add a row: least <= terms <= most."""
        self.rows.append((least, most, dict(terms)))

    def cost(self, level: str, terms: Mapping[int, float]) -> None:
        """Add to what a level costs."""
        costs = self.costs[level]
        for column, amount in terms.items():
            costs[column] = costs.get(column, 0.0) + amount


def program_of(
    problem: Problem, bins: Sequence[Bin], start: Mapping[Spot, int], floor: Mapping[int, int]
) -> Program:
    """Return the program, starting at a plan; no need may get less than its floor."""
    numbers = [*(b.room for b in bins), *(need.quantity for need in problem.needs)]
    built = Program(unit=gcd(*numbers, *(row.quantity for row in problem.present)) or 1)
    in_bin = {lot.lot_id: number for number, b in enumerate(bins) for lot in b.lots}
    begun: dict[tuple[int, int], int] = defaultdict(int)
    for (need_id, lot_id), quantity in start.items():
        begun[need_id, in_bin[lot_id]] += quantity
    got = met(start)
    surfaces: dict[object, list[Need]] = defaultdict(list)
    for need in sorted(problem.needs, key=in_turn):
        if need.run_matched:
            surfaces[need.surface].append(need)
        elif need.quantity > 0:
            add_amounts(built, need, bins, begun, floor.get(need.need_id, 0))
    weights: dict[RunKey, Terms] = defaultdict(dict)
    for needs in surfaces.values():
        add_surface(built, needs, bins, begun, got, floor, weights)
    add_run_rooms(built, bins, weights)
    add_rooms(built, problem, bins)
    add_moves(built, problem, in_bin, start)
    return built


def add_amounts(
    built: Program,
    need: Need,
    bins: Sequence[Bin],
    begun: Mapping[tuple[int, int], int],
    floor: int,
) -> None:
    """A need that takes what there is: an amount of each bin, and what it lacks."""
    unit = built.unit
    terms: Terms = {}
    for number, b in enumerate(bins):
        if b.first.item_id in need.items and is_usable(b.first, need):
            most = min(need.quantity, b.room) / unit
            column = built.column(most, begun[need.need_id, number] / unit)
            built.gets[need.need_id, number] = (column, unit)
            terms[column] = 1.0
    got = sum(begun[need.need_id, number] for number in range(len(bins)))
    lack = built.column((need.quantity - floor) / unit, (need.quantity - got) / unit)
    built.row(need.quantity / unit, {**terms, lack: 1.0}, need.quantity / unit)
    built.cost("unmet", {lack: unit / need.pack_quantity})


def fitting_runs(needs: Sequence[Need], bins: Sequence[Bin]) -> dict[RunKey, dict[int, list[int]]]:
    """Return by run and need the bins that serve it, of runs with enough for the whole need."""
    runs: dict[RunKey, dict[int, list[int]]] = defaultdict(dict)
    for need in needs:
        fitting: dict[RunKey, list[int]] = defaultdict(list)
        for number, b in enumerate(bins):
            key = b.first.run_key
            fits = b.first.item_id in need.items and is_usable(b.first, need)
            if fits and need.fixed_run in {None, key}:
                fitting[key].append(number)
        for key, numbers in fitting.items():
            if need.quantity > 0 and sum(bins[n].room for n in numbers) >= need.quantity:
                runs[key][need.need_id] = numbers
    return runs


def add_surface(
    built: Program,
    needs: Sequence[Need],
    bins: Sequence[Bin],
    begun: Mapping[tuple[int, int], int],
    got: Mapping[int, int],
    floor: Mapping[int, int],
    weights: Mapping[RunKey, Terms],
) -> None:
    """A surface: yes or no for each run that might serve it, and for each of its needs."""
    runs = fitting_runs(needs, bins)
    serves: Terms = {}
    meets: dict[int, Terms] = defaultdict(dict)
    by_id = {need.need_id: need for need in needs}
    for key, chosen in runs.items():
        begins = {pk: any(begun[pk, n] for n in numbers) for pk, numbers in chosen.items()}
        serve = built.column(1.0, float(any(begins.values())), whole=True)
        serves[serve] = 1.0
        for need_id, numbers in chosen.items():
            yes = serve
            if len(needs) > 1:
                yes = built.column(1.0, float(begins[need_id]), whole=True)
                built.row(-1.0, {yes: 1.0, serve: -1.0}, 0.0)
            meets[need_id][yes] = 1.0
            weights[key][yes] = by_id[need_id].quantity / built.unit
            add_run(built, by_id[need_id], yes, numbers, bins, begun)
    built.row(0.0, serves, 1.0)
    for need in needs:
        if need.quantity <= 0:
            continue
        mine = meets[need.need_id]
        built.row(1.0 if floor.get(need.need_id) else 0.0, mine, 1.0)
        built.cost("unmet", dict.fromkeys(mine, -need.quantity / need.pack_quantity))
    add_split(built, needs, serves, meets, got)


def add_run_rooms(built: Program, bins: Sequence[Bin], weights: Mapping[RunKey, Terms]) -> None:
    """No run serves more than it has: the rooms of its bins say it too, but not in yes and no."""
    rooms: dict[RunKey, int] = defaultdict(int)
    for b in bins:
        rooms[b.first.run_key] += b.room
    for key, terms in weights.items():
        if sum(terms.values()) * built.unit > rooms[key]:
            built.row(0.0, terms, rooms[key] / built.unit)


def add_run(
    built: Program,
    need: Need,
    yes: int,
    numbers: Sequence[int],
    bins: Sequence[Bin],
    begun: Mapping[tuple[int, int], int],
) -> None:
    """What a need gets of one run: all of it by its only bin, or shared out over its bins."""
    if len(numbers) == 1:
        built.gets[need.need_id, numbers[0]] = (yes, need.quantity)
        return
    terms: Terms = {yes: -need.quantity / built.unit}
    for number in numbers:
        most = min(need.quantity, bins[number].room) / built.unit
        column = built.column(most, begun[need.need_id, number] / built.unit)
        built.gets[need.need_id, number] = (column, built.unit)
        terms[column] = 1.0
    built.row(0.0, terms, 0.0)


def add_split(
    built: Program,
    needs: Sequence[Need],
    serves: Terms,
    meets: Mapping[int, Terms],
    got: Mapping[int, int],
) -> None:
    """A surface is split where some of it is there, or served, and some of it is not met."""
    in_hand = any(need.fixed_run and need.in_hand for need in needs)
    wanted = [need for need in needs if need.quantity > 0]
    if not in_hand and len(wanted) < 2:
        return
    served = in_hand or any(got.get(need.need_id) for need in wanted)
    short = any(not got.get(need.need_id) for need in wanted)
    split = built.column(1.0, float(served and short), whole=True)
    built.cost("split", {split: 1.0})
    for need in wanted:
        terms = {split: 1.0, **meets.get(need.need_id, {})}
        if in_hand:
            built.row(1.0, terms, 2.0)
        else:
            built.row(0.0, {**terms, **{c: terms.get(c, 0.0) - 1.0 for c in serves}}, 2.0)


def add_rooms(built: Program, problem: Problem, bins: Sequence[Bin]) -> None:
    """No bin gives more than it has; what it keeps past its date is lost."""
    taken: dict[int, Terms] = defaultdict(dict)
    for (_, number), (column, units) in built.gets.items():
        taken[number][column] = taken[number].get(column, 0.0) + units
    for number, terms in taken.items():
        b = bins[number]
        wanted = sum(built.upper[column] * units for column, units in terms.items())
        if wanted > b.room:
            built.row(0.0, {c: n / built.unit for c, n in terms.items()}, b.room / built.unit)
        if is_dying(b.first, problem):
            # in pounds, of thousandths of a penny
            built.cost("loss", {c: -n * b.first.value / 100_000 for c, n in terms.items()})


def add_moves(
    built: Program, problem: Problem, in_bin: Mapping[int, int], start: Mapping[Spot, int]
) -> None:
    """A present reservation that loses something has moved."""
    for row in problem.present:
        spot = built.gets.get((row.need_id, in_bin.get(row.lot_id, -1)))
        if spot is None:
            continue  # it cannot stay: that costs the same whatever is done
        column, units = spot
        moved = start.get((row.need_id, row.lot_id), 0) < row.quantity
        move = built.column(1.0, float(moved), whole=True)
        part = row.quantity / built.unit
        built.row(part, {column: units / built.unit, move: part}, float("inf"))
        built.cost("moves", {move: 1.0})
