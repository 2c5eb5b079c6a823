"""Lots, needs, picks and what could not be met, as plain values."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from enum import StrEnum

from stock.ledger.rules import pack_words

NO_DATE = date.max
RunKey = tuple[int, str]
# A job that is not booked is taken to lay this many days from today.
DAYS_UNTIL_BOOKED = 14
# A proposal that a worker claimed so long ago was left by it.
STUCK_AFTER = timedelta(minutes=2)


class Binds(StrEnum):
    """The rule that keeps a need from being met."""

    NOTHING_THERE = "stock"
    DATE = "date"
    HELD = "held"
    RESERVED = "reserved"
    ONE_RUN = "run"


@dataclass(frozen=True)
class LotView:
    """A lot as the rules see it; quantities in base units.

    `value` is what a base unit cost, in thousandths of a penny, so that sums stay whole.
    """

    lot_id: int
    code: str
    item_id: int
    free: int
    reserved: int = 0
    expiry: date | None = None
    run: str = ""
    held: str = ""
    near: int = 50
    place: str = ""
    received_on: date = date.min
    item_name: str = ""
    value: int = 0

    @property
    def run_key(self) -> RunKey:
        """The run it is of; runs of two items are two, whatever is printed on them."""
        return self.item_id, self.run


@dataclass(frozen=True)
class Need:
    """What is still wanted of an item for one colour group, and the last day it is used.

    `run` is the run of which some is reserved or issued already: then no other will do; `in_hand`
    says how much of it is, and `run_item` which item it is of where that is a substitute.
    `substitutes` are the items that may stand in, the first first. `parts` names the pours of the
    colour group with the share each takes. A job that is not booked comes after those that are.
    """

    need_id: int
    item_id: int
    name: str
    quantity: int
    day: date
    job_id: int = 0
    colour_group: str = ""
    margin_days: int = 0
    run_matched: bool = False
    run: str = ""
    pack_quantity: int = 1
    pack_name: str = "piece"
    pack_mass_g: int = 0
    substitutes: tuple[int, ...] = ()
    run_item: int = 0
    in_hand: int = 0
    parts: tuple[tuple[str, int], ...] = ()
    booked: bool = True
    job_name: str = ""

    @property
    def items(self) -> tuple[int, ...]:
        """The items that will do: its own, then what may stand in for it."""
        return (self.item_id, *self.substitutes)

    @property
    def fixed_run(self) -> RunKey | None:
        """The one run that will do, where some of it is there already."""
        return (self.run_item or self.item_id, self.run) if self.run else None

    @property
    def surface(self) -> tuple[int, int, str]:
        """What one run must serve: the colour group of a job with this item."""
        return self.job_id, self.item_id, self.colour_group

    @property
    def good_until(self) -> date:
        """The earliest use-by day that will do: the day of use with the item's margin."""
        return self.day + timedelta(days=self.margin_days)

    def words(self, quantity: int) -> str:
        """Write a quantity in the item's packs."""
        return pack_words(quantity, self.pack_quantity, self.pack_name)


@dataclass(frozen=True)
class Pick:
    """So much of a lot for a need, and why this lot; a substitute is said in the why too."""

    need_id: int
    lot_id: int
    quantity: int
    why: str
    substitute: bool = False


@dataclass(frozen=True)
class Unmet:
    """What a need still lacks, which rule binds, what would free it, and the least bad offers."""

    need_id: int
    quantity: int
    binds: Binds
    sentence: str
    remedy: str
    offers: tuple[str, ...] = ()


@dataclass
class Plan:
    """Picks and what could not be met."""

    picks: list[Pick] = field(default_factory=list)
    unmet: list[Unmet] = field(default_factory=list)


def usable_first(lot: LotView) -> tuple[date, int, date, int]:
    """Order lots: first expired first, then the nearest, then the oldest."""
    return (lot.expiry or NO_DATE, lot.near, lot.received_on, lot.lot_id)


def in_turn(need: Need) -> tuple[bool, date, int]:
    """Order needs: booked jobs first, then the earliest day."""
    return (not need.booked, need.day, need.need_id)


def is_usable(lot: LotView, need: Need) -> bool:
    """Return whether a lot may serve a need: released, and in date with the margin."""
    return not lot.held and (lot.expiry is None or lot.expiry >= need.good_until)


def amount(lots: Iterable[LotView], free: dict[int, int]) -> int:
    """Return what is free in some lots."""
    return sum(free[lot.lot_id] for lot in lots)


def codes(lots: Sequence[LotView]) -> str:
    """Name up to three lots."""
    named = [lot.code for lot in lots[:3]]
    if len(lots) > 3:
        named.append(f"{len(lots) - 3} more")
    return ", ".join(named)
