"""The joint problem divided into parts that do not touch, and lots that are alike as bins."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from stock.allocation.rules.joint import Problem, Spot, in_lot_order, judge
from stock.allocation.rules.values import LotView, Need, in_turn


@dataclass
class Bin:
    """Lots that are alike, in the order in which they are used."""

    lots: list[LotView]

    @property
    def first(self) -> LotView:
        """Any of them, for what they have in common."""
        return self.lots[0]

    @property
    def room(self) -> int:
        """What is free in all of them."""
        return sum(max(lot.free, 0) for lot in self.lots)


def parts_of(problem: Problem) -> list[Problem]:
    """Divide a problem into those of items that do not touch each other, the smallest first."""
    root: dict[int, int] = {}

    def find(item: int) -> int:
        while root.setdefault(item, item) != item:
            item = root[item]
        return item

    for need in problem.needs:
        for other in need.substitutes:
            root[find(other)] = find(need.item_id)
    needs: dict[int, list[Need]] = defaultdict(list)
    for need in problem.needs:
        needs[find(need.item_id)].append(need)
    lots: dict[int, list[LotView]] = defaultdict(list)
    for lot in problem.lots:
        lots[find(lot.item_id)].append(lot)
    parts = []
    for key, found in needs.items():
        ids = {need.need_id for need in found}
        present = tuple(row for row in problem.present if row.need_id in ids)
        parts.append(Problem(tuple(found), tuple(lots[key]), present, problem.until))
    return sorted(parts, key=lambda part: len(part.needs) * len(part.lots))


def bins_of(problem: Problem) -> list[Bin]:
    """Return the lots in bins, in the order in which they are used."""
    own = {row.lot_id for row in problem.present}
    found: dict[object, Bin] = {}
    for lot in in_lot_order(problem.lots):
        if lot.free > 0 and not lot.held:
            alike = (lot.item_id, lot.run, lot.expiry, lot.value)
            key: object = lot.lot_id if lot.lot_id in own else alike
            found.setdefault(key, Bin([])).lots.append(lot)
    return list(found.values())


def to_lots(
    problem: Problem, bins: Sequence[Bin], amounts: Mapping[tuple[int, int], int]
) -> dict[Spot, int]:
    """Share what needs get of bins out over their lots.

    What a need holds already it keeps; of the rest the earliest day takes from the first lot.
    """
    sums: dict[Spot, int] = defaultdict(int)
    order = {need.need_id: n for n, need in enumerate(sorted(problem.needs, key=in_turn))}
    free = {lot.lot_id: lot.free for b in bins for lot in b.lots}
    in_bin = {lot.lot_id: number for number, b in enumerate(bins) for lot in b.lots}
    left = dict(amounts)

    def take(need_id: int, lot_id: int, most: int) -> None:
        spot = (need_id, in_bin[lot_id])
        part = min(left.get(spot, 0), free[lot_id], most)
        if part > 0:
            left[spot] -= part
            free[lot_id] -= part
            sums[need_id, lot_id] += part

    for row in problem.present:
        if row.lot_id in in_bin:
            take(row.need_id, row.lot_id, row.quantity)
    for need_id, number in sorted(amounts, key=lambda spot: order[spot[0]]):
        for lot in bins[number].lots:
            take(need_id, lot.lot_id, lot.free)
    return dict(sums)


def is_best_already(problem: Problem, sums: Mapping[Spot, int]) -> bool:
    """Return whether nothing can be better than this plan: nothing unmet, split, lost or moved."""
    return not any(judge(problem, sums))
