"""Reckoning of the ledger without rows: what part of a lot costs, which dates hold, which ends."""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from jobs.kernel.money import ZERO, round_line
from stock.catalogue.enums import PlaceKind
from stock.ledger.enums import PostingKind

YARD = frozenset({PlaceKind.BAY.value, PlaceKind.VAN.value})
SITE = frozenset({PlaceKind.SITE.value})
COUNTED = YARD | SITE
# From where to where each kind of posting goes; its counter-posting goes the other way.
ENDS: dict[str, tuple[tuple[frozenset[str], frozenset[str]], ...]] = {
    PostingKind.RECEIVE: ((frozenset({PlaceKind.SUPPLIER.value}), YARD),),
    PostingKind.ISSUE: ((YARD, SITE),),
    PostingKind.RETURN: ((SITE, YARD),),
    PostingKind.LAY: ((SITE, frozenset({PlaceKind.LAID.value})),),
    PostingKind.WASTE: ((COUNTED, frozenset({PlaceKind.WASTE.value})),),
    PostingKind.TRANSFER: (
        (YARD, YARD),
        # A lot is split by moving a part out of it and into the new lot.
        (YARD, frozenset({PlaceKind.ADJUSTMENT.value})),
        (frozenset({PlaceKind.ADJUSTMENT.value}), YARD),
    ),
    PostingKind.COUNT: (
        (COUNTED, frozenset({PlaceKind.ADJUSTMENT.value})),
        (frozenset({PlaceKind.ADJUSTMENT.value}), COUNTED),
    ),
}
# Undoing an issue is a return and the other way round; every other kind undoes itself.
COUNTER_KIND: dict[str, str] = {
    PostingKind.ISSUE: PostingKind.RETURN,
    PostingKind.RETURN: PostingKind.ISSUE,
}


def ends_fit(kind: str, from_kind: str, to_kind: str, *, counter: bool = False) -> bool:
    """Return whether a movement of this kind may go between two kinds of place."""
    if counter and kind not in COUNTER_KIND:
        from_kind, to_kind = to_kind, from_kind
    return any(from_kind in start and to_kind in end for start, end in ENDS[kind])


def cost_upto(cost: Decimal, received: int, units: int) -> Decimal:
    """Return what the first `units` of a lot cost, in whole pence, half up.

    Units beyond what was received (found by a count) cost nothing more.
    """
    return round_line(cost * min(max(units, 0), received) / received)


@dataclass
class LotCost:
    """The running cost of one lot: how many units left it and what they took with them."""

    cost: Decimal
    received: int
    costed: int
    posted: Decimal

    def take(self, quantity: int) -> Decimal:
        """Return the cost that the next `quantity` units take.

        It is the running total after them less what was taken before, so that all units together
        take the lot's cost to the penny, whatever came back between.
        """
        self.costed += quantity
        amount = max(ZERO, cost_upto(self.cost, self.received, self.costed) - self.posted)
        self.posted += amount
        return amount

    def take_again(self, quantity: int, amount: Decimal) -> Decimal:
        """Return what units take that had come back with `amount`: that, or what is left of it."""
        amount = max(ZERO, min(amount, self.cost - self.posted))
        self.costed += quantity
        self.posted += amount
        return amount


@dataclass
class JobShare:
    """What one job drew from one lot, less what it brought back, and what that cost."""

    quantity: int = 0
    cost: Decimal = ZERO

    def draw(self, quantity: int, cost: Decimal) -> None:
        """Add what was issued."""
        self.quantity += quantity
        self.cost += cost

    def give_back(self, quantity: int, amount: Decimal) -> Decimal:
        """Return what units give back that took `amount`: that, or all where none of them stay."""
        amount = self.cost if quantity >= self.quantity else min(amount, self.cost)
        self.quantity, self.cost = self.quantity - quantity, self.cost - amount
        return amount

    def bring_back(self, quantity: int) -> Decimal:
        """Return the issued cost of `quantity` units that come back; all of them give back all."""
        left = max(self.quantity - quantity, 0)
        stays = round_line(self.cost * left / self.quantity) if self.quantity > 0 else ZERO
        amount = self.cost - stays
        self.quantity, self.cost = left, stays
        return amount


# -- dates -------------------------------------------------------------------------------------

MONTH_AND_YEAR = re.compile(r"(0?[1-9]|1[0-2])\s*/\s*(\d{4})\Z")
DAY_MONTH_YEAR = re.compile(r"(\d{1,2})\s*[/.]\s*(\d{1,2})\s*[/.]\s*(\d{4})\Z")


def read_use_by(text: str) -> date:
    """Read a date as labels print it; 'MM/YYYY' is that month's last day, which is still usable.

    Accepts '14/05/2026', '05/2026' and '2026-05-14'; ValueError otherwise.
    """
    text = text.strip()
    if found := MONTH_AND_YEAR.match(text):
        month, year = int(found[1]), int(found[2])
        return date(year, month, calendar.monthrange(year, month)[1])
    if found := DAY_MONTH_YEAR.match(text):
        return date(int(found[3]), int(found[2]), int(found[1]))
    return date.fromisoformat(text)


def months_after(made: date, months: int) -> date:
    """Return the same day so many months later, clipped to that month's end."""
    year, month = divmod(made.year * 12 + made.month - 1 + months, 12)
    last = calendar.monthrange(year, month + 1)[1]
    return date(year, month + 1, min(made.day, last))


def kit_use_by(part_a: date | None, part_b: date | None) -> date | None:
    """Return the date of a kit: the earlier of its two parts' dates."""
    dates = [day for day in (part_a, part_b) if day is not None]
    return min(dates, default=None)


def pack_words(quantity: int, pack_quantity: int, pack_name: str) -> str:
    """Write a quantity in packs as people count it: '17 bags', '1 kit', '2.5 bags'."""
    packs = Decimal(quantity) / Decimal(pack_quantity)
    figure = f"{packs.quantize(Decimal('0.01')).normalize():,f}"
    return f"{figure} {pack_name if packs == 1 else plural(pack_name)}"


def plural(word: str) -> str:
    """Return the plural of a pack's name."""
    return f"{word}es" if word.endswith(("s", "x", "ch", "sh")) else f"{word}s"
