"""What is left of a lot is worth, how often stock turns, and the days between."""

from __future__ import annotations

import calendar
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal

from jobs.kernel.money import ZERO, round_line, share_out
from stock.ledger.rules import cost_upto


def left_value(cost: Decimal, received: int, left: int) -> Decimal:
    """Return what the last `left` units of a lot cost: its cost less the running total before them.

    So what was issued and what is left make up the lot's cost to the penny.
    """
    return cost - cost_upto(cost, received, received - left)


def values_of_lot(
    cost: Decimal, received: int, yard: Mapping[int, int], sites: Mapping[int, int]
) -> dict[int, Decimal]:
    """Return {place id: value} of a lot from what lies in each place; exact in sum.

    What lies in bays and vans is worth `left_value` of it together, shared by quantity; what lies
    at sites is worth the next units before it.
    """
    in_yard, at_sites = sum(yard.values()), sum(sites.values())
    worth_yard = left_value(cost, received, in_yard)
    worth_all = left_value(cost, received, in_yard + at_sites)
    values: dict[int, Decimal] = {}
    for there, worth in ((yard, worth_yard), (sites, worth_all - worth_yard)):
        if there:
            shares = share_out(worth, [Decimal(quantity) for quantity in there.values()])
            values |= dict(zip(there, shares, strict=True))
    return values


def points_between(first: date, last: date) -> list[date]:
    """Return the days at whose end stock is valued: the eve of `first`, month ends, and `last`."""
    points = [first - timedelta(days=1)]
    day = first
    while day <= last:
        end = day.replace(day=calendar.monthrange(day.year, day.month)[1])
        points.append(min(end, last))
        day = end + timedelta(days=1)
    return points


@dataclass(frozen=True)
class Turn:
    """How often stock was used up in a period of so many days: issued cost over mean value."""

    issued: Decimal
    values: tuple[Decimal, ...]
    days: int

    @property
    def start(self) -> Decimal:
        """Value before the first day."""
        return self.values[0]

    @property
    def end(self) -> Decimal:
        """Value after the last day."""
        return self.values[-1]

    @property
    def mean(self) -> Decimal:
        """The mean of the values at the period's points."""
        return round_line(sum(self.values, ZERO) / len(self.values))

    @property
    def turns(self) -> Decimal | None:
        """Issued cost over mean value in the period, None where nothing was held."""
        if self.mean <= 0:
            return None
        return (self.issued / self.mean).quantize(Decimal("0.01"), ROUND_HALF_UP)

    @property
    def days_held(self) -> int | None:
        """For how many days the mean value lasts at this rate, None where nothing was issued."""
        if self.issued <= 0:
            return None
        return int((self.mean * self.days / self.issued).quantize(Decimal(1), ROUND_HALF_UP))


def add_turns(turns: Sequence[Turn], days: int, points: int) -> Turn:
    """Return several turns as one: their issues and values added."""
    return Turn(
        sum((turn.issued for turn in turns), ZERO),
        tuple(sum((turn.values[n] for turn in turns), ZERO) for n in range(points)),
        days,
    )
