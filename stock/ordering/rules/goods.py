"""Reckoning of orders and deliveries: packs, dates on labels, landed cost."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from jobs.kernel.money import ZERO, round_line, share_out

MOST_PACKS = 100_000


def packs_for(quantity: int, pack_quantity: int) -> int:
    """Return the whole packs that hold at least `quantity` base units."""
    return -(-quantity // pack_quantity)


def cost_of_delivery(pack_price: Decimal, packs_before: int, packs: int) -> Decimal:
    """Return what `packs` cost that come after `packs_before` of the same line.

    It is the difference of two rounded totals, so that all deliveries of a line add up to its
    price to the penny however they are split.
    """
    upto = round_line(pack_price * (packs_before + packs))
    return upto - round_line(pack_price * packs_before)


def share_carriage(carriage: Decimal, masses: Sequence[int], packs: Sequence[int]) -> list[Decimal]:
    """Share carriage over what was accepted: by mass, or by packs where no mass is known.

    Returns one amount for each line, which add up to `carriage`; nothing accepted takes nothing.
    """
    if not sum(packs):
        return [ZERO for _ in packs]
    weights = masses if sum(masses) else packs
    return list(share_out(carriage, [Decimal(weight) for weight in weights]))


@dataclass(frozen=True)
class Arrived:
    """What came of one line, in packs: what is in the yard (good, held, over) and what is not."""

    good: int = 0
    held: int = 0
    refused: int = 0
    short: int = 0
    over: int = 0

    @property
    def accepted(self) -> int:
        return self.good + self.held + self.over

    @property
    def anything(self) -> bool:
        return any((self.good, self.held, self.refused, self.short, self.over))


def check_arrived(arrived: Arrived, outstanding: int) -> str:
    """Return what is wrong with the figures of a line, or ''.

    Good, held, refused and short can be no more than was still to come; more than that is over,
    and there is no over while something is short.
    """
    if arrived.over and arrived.short:
        return "A line cannot be short and over at once; correct one of the two."
    if arrived.over and _within(arrived) < outstanding:
        return (
            f"{outstanding} were still to come and {_within(arrived)} are counted: "
            "only what is beyond that is over."
        )
    within = _within(arrived)
    if within > outstanding:
        return (
            f"Only {outstanding} were still to come: count what is beyond that as over. "
            f"Good, held, refused and short make {within}."
        )
    return ""


def _within(arrived: Arrived) -> int:
    return arrived.good + arrived.held + arrived.refused + arrived.short


def claim_by(received_on: date, claim_days: int) -> date:
    """Return the last day on which the carrier takes a claim; calendar days, the cautious count."""
    return received_on + timedelta(days=claim_days)


def order_total(lines: Sequence[tuple[Decimal, int]], carriage: Decimal) -> Decimal:
    """Return the net of an order: each line rounded once, and the carriage."""
    return sum((round_line(price * packs) for price, packs in lines), carriage)


def carriage_for(goods: Decimal, carriage: Decimal, free_from: Decimal | None) -> Decimal:
    """Return the carriage of an order of so much goods (net); free from `free_from` on, itself in.

    Without `free_from` no order is brought free.
    """
    return ZERO if free_from is not None and goods >= free_from else carriage


RUN = re.compile(r"\s+")


def plain_run(text: str) -> str:
    """Return a run or batch as it is compared: no stray blanks, capital letters."""
    return RUN.sub(" ", text).strip().upper()
