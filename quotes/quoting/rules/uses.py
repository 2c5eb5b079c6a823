"""What a quote's lines take from the yard, in packs and parts of a pack; whole packs of it all."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Protocol

from jobs.kernel.money import ZERO
from quotes.quoting.rules.drafts import spread_whole
from quotes.takeoff.rules import whole_packs


class Taker(Protocol):
    """A line, drafted or stored. Rows of `stock` without 'wanted' keep their cost."""

    @property
    def kind(self) -> Any: ...
    @property
    def materials(self) -> Any: ...
    @property
    def workings(self) -> Any: ...
    @property
    def stock(self) -> Any: ...


@dataclass(frozen=True)
class Stocked:
    """An item's name and pack: its word, and base units in it."""

    name: str
    pack_name: str
    pack_quantity: int


@dataclass(frozen=True)
class Use:
    """What a row of a line's stock takes, in packs and parts of a pack; `run` as it must match."""

    line: int
    row: int
    item_id: int
    run: str
    packs: Decimal
    spare: Decimal

    @property
    def lot(self) -> tuple[int, str]:
        """What is rounded up to whole packs together."""
        return self.item_id, self.run


@dataclass(frozen=True)
class Part:
    """A row's part of the purchase: base units taken along, £ of packs and of carriage."""

    quantity: int
    goods: Decimal = ZERO
    carriage: Decimal = ZERO


def uses_of(lines: Sequence[Taker]) -> list[Use]:
    """Return what the lines take, line by line."""
    return [
        Use(
            number, place, row["item"], row["colour_group"], Decimal(row["wanted"]),
            Decimal(row.get("spare", 0)),
        )
        for number, line in enumerate(lines)
        for place, row in enumerate(line.stock)
        if "wanted" in row
    ]  # fmt: skip


def packs_of(uses: Iterable[Use]) -> dict[tuple[int, str], tuple[int, int]]:
    """Return whole packs of each lot: (that are needed, with the spares)."""
    found: dict[tuple[int, str], tuple[Decimal, Decimal]] = {}
    for use in uses:
        packs, spare = found.get(use.lot, (ZERO, ZERO))
        found[use.lot] = packs + use.packs, spare + use.spare
    return {
        lot: (whole_packs(float(packs)), whole_packs(float(packs + spare)))
        for lot, (packs, spare) in found.items()
    }


def quantities_of(uses: Sequence[Use], stocked: Mapping[int, Stocked]) -> dict[Use, int]:
    """Return base units of each use, which make whole packs of each lot, spares included."""
    found: dict[Use, int] = {}
    for (item, run), (_, total) in packs_of(uses).items():
        own = [use for use in uses if use.lot == (item, run)]
        units = total * stocked[item].pack_quantity
        parts = spread_whole(units, [float(use.packs + use.spare) for use in own])
        found |= zip(own, parts, strict=True)
    return found
