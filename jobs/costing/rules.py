"""Budget against actual: reckoning on amounts, no rows.

Variance of one category: price = (actual price − budget price) × actual quantity; usage (or hours)
= (actual quantity − budget quantity) × budget price. The two add up to the difference exactly,
since the usage part is rounded and the price part is what remains.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from jobs.kernel.money import ZERO, round_line


@dataclass(frozen=True)
class CategoryCost:
    """One category of a job: what was reckoned with, what is on order, what it cost."""

    category: str
    label: str
    budget: Decimal = ZERO
    committed: Decimal = ZERO
    actual: Decimal = ZERO

    @property
    def expected(self) -> Decimal:
        """What it will cost if nothing else comes: actual and what is on order."""
        return self.actual + self.committed

    @property
    def difference(self) -> Decimal:
        """Expected less budget: above nothing is dearer than reckoned."""
        return self.expected - self.budget


@dataclass(frozen=True)
class JobCost:
    """A job's categories with their sums."""

    job_id: int
    reference: str
    title: str
    categories: tuple[CategoryCost, ...]

    @property
    def total(self) -> CategoryCost:
        """The sums over all categories."""
        return add_up("total", "in all", self.categories)


def add_up(category: str, label: str, rows: Iterable[CategoryCost]) -> CategoryCost:
    """Return the sums of several categories, or of one category over several jobs."""
    found = list(rows)
    return CategoryCost(
        category,
        label,
        sum((row.budget for row in found), ZERO),
        sum((row.committed for row in found), ZERO),
        sum((row.actual for row in found), ZERO),
    )


@dataclass(frozen=True)
class Variance:
    """A difference taken apart: by price and by quantity used; they add up to it exactly."""

    price: Decimal
    usage: Decimal

    @property
    def total(self) -> Decimal:
        return self.price + self.usage


def variance(
    *,
    budget: Decimal,
    budget_quantity: Decimal,
    actual: Decimal,
    actual_quantity: Decimal,
) -> Variance:
    """Take the difference of two amounts apart; without a budgeted quantity all of it is usage."""
    difference = actual - budget
    if budget_quantity <= 0:
        return Variance(ZERO, difference)
    usage = round_line((actual_quantity - budget_quantity) * budget / budget_quantity)
    return Variance(difference - usage, usage)


def whole_minutes(hours: Decimal) -> int:
    """Return hours as whole minutes, half up: 0.33 h are 20 minutes."""
    return int((hours * 60).quantize(Decimal(1), rounding=ROUND_HALF_UP))
