"""Less or more of a line that was agreed, at the price that was agreed for it."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from jobs.kernel.money import round_line

COSTS = ("labour", "plant", "materials", "other")


@dataclass(frozen=True)
class Part:
    """The figures of a part of a line, signed: below nought where there is less of it."""

    net: Decimal
    labour_hours: Decimal
    labour: Decimal
    plant: Decimal
    materials: Decimal
    other: Decimal
    stock: list[dict[str, Any]]

    @property
    def direct(self) -> Decimal:
        """Direct cost of the part."""
        return self.labour + self.plant + self.materials + self.other


def share_between(amount: Decimal, whole: Decimal, start: Decimal, end: Decimal) -> Decimal:
    """Return the part of `amount` that lies between two quantities of `whole`, in whole pence.

    It is the difference of two rounded running totals, so that parts taken one after the other
    add up to the amount exactly.
    """
    return round_line(amount * end / whole) - round_line(amount * start / whole)


def part_of(
    line: Any, quantity: Decimal, taken: Decimal, *, less: bool, packs: Mapping[int, int]
) -> Part:
    """Return the part of a quote's line for `quantity` more or less of it.

    line: with net, costs, hours, quantity and stock. taken: how much of it earlier variations left
    out already. packs: base units in a pack of each item; what is added is rounded up to whole
    packs, what is left out is rounded down to them, for only a whole pack need not be bought.
    """
    sign = -1 if less else 1
    start, end = (taken, taken + quantity) if less else (Decimal(0), quantity)

    def share(amount: Decimal) -> Decimal:
        return sign * share_between(amount, line.quantity, start, end)

    rounded: Callable[[float], int] = math.floor if less else math.ceil
    stock = [
        _stock_part(row, quantity / line.quantity, sign, packs.get(row["item"], 1), rounded)
        for row in line.stock
    ]
    return Part(
        net=share(line.net), labour_hours=share(line.labour_hours),
        **{name: share(getattr(line, name)) for name in COSTS},
        stock=[row for row in stock if row["quantity"]],
    )  # fmt: skip


def _stock_part(
    row: Mapping[str, Any], share: Decimal, sign: int, pack: int, rounded: Callable[[Any], int]
) -> dict[str, Any]:
    quantity = sign * rounded(row["quantity"] * share / pack) * pack
    each = Decimal(row["cost"]) / row["quantity"] if row["quantity"] else Decimal(0)
    return {**row, "quantity": quantity, "cost": f"{round_line(each * quantity):.2f}"}


def stock_of(lines: Sequence[Any]) -> dict[tuple[int, str, str], int]:
    """Return what lines change of the job's needs: (item, colour group, phase) -> base units."""
    found: dict[tuple[int, str, str], int] = {}
    for line in lines:
        for row in line.stock:
            spot = (row["item"], row["colour_group"], row["phase"])
            found[spot] = found.get(spot, 0) + row["quantity"]
    return {spot: quantity for spot, quantity in found.items() if quantity}
