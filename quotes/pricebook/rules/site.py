"""What a site costs beside the work: travel, hire, ground dug and carted, day-work; no rows."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal

from jobs.kernel.money import ZERO, round_line
from quotes.pricebook.rules.prices import HUNDRED

# A count within this of a whole number is that number.
NEAR = Decimal("1e-9")


@dataclass(frozen=True)
class Travel:
    """Cost of the way to a site: hours of all people and what they cost, and the miles."""

    hours: Decimal
    labour: Decimal
    mileage: Decimal


def travel_of(
    *, miles: Decimal, trips: int, hours: Decimal, people: int, mile_rate: Decimal, hourly: Decimal
) -> Travel:
    """Return what `trips` trips cost. miles, hours: of one trip there and back, hours a person.

    One vehicle drives; each of `people` is paid for the hours.
    """
    spent = hours * trips * people
    return Travel(spent, round_line(spent * hourly), round_line(miles * trips * mile_rate))


@dataclass(frozen=True)
class Hire:
    """What a hire is charged for: at least the minimum period, in whole weeks and days."""

    charged_days: int
    weeks: int
    days: int
    cost: Decimal


def hire_of(
    *,
    days: Decimal,
    day_rate: Decimal,
    week_rate: Decimal | None = None,
    minimum_days: int = 1,
    days_a_week: int = 5,
) -> Hire:
    """Return the cheapest weeks and days that cover the hire.

    Charged is the greater of the minimum and the days needed, begun days whole. A week covers
    `days_a_week` days; a further week may cost less than the days that are left. Without a week's
    rate all is days.
    """
    charged = max(minimum_days, math.ceil(days - NEAR))
    most = math.ceil(charged / days_a_week) if week_rate is not None else 0
    choices = []
    for weeks in range(most + 1):
        left = max(0, charged - weeks * days_a_week)
        cost = weeks * (week_rate or ZERO) + left * day_rate
        choices.append((round_line(cost), weeks, left))
    cost, weeks, left = min(choices)
    return Hire(charged, weeks, left, cost)


@dataclass(frozen=True)
class Muck:
    """Ground dug out: as it lies (m³ solid), as it is loaded (m³ loose), its mass, and loads."""

    solid_m3: Decimal
    loose_m3: Decimal
    tonnes: Decimal
    loads: int


def muck_of(
    *, area_m2: Decimal, depth_mm: Decimal, bulking: Decimal, density: Decimal, load_t: Decimal
) -> Muck:
    """Return what digging so deep over an area gives to cart away.

    solid = area × depth; loose = solid × bulking; t = loose × density (t a loose m³); loads of
    `load_t` each, the last one begun counts. Common practice, no source.
    """
    solid = area_m2 * depth_mm / 1000
    loose = solid * bulking
    tonnes = loose * density
    return Muck(solid, loose, tonnes, math.ceil(tonnes / load_t - NEAR))


@dataclass(frozen=True)
class Daywork:
    """Day-work: its prime cost by kind, and its charge with the percentages added to each kind."""

    labour: Decimal
    plant: Decimal
    material: Decimal
    charge: Decimal | None

    @property
    def prime(self) -> Decimal:
        """The prime cost."""
        return self.labour + self.plant + self.material


def daywork_of(
    *,
    hours: Decimal,
    hourly: Decimal,
    plant: Decimal,
    material: Decimal,
    percents: tuple[Decimal, Decimal, Decimal] | None,
) -> Daywork:
    """Return the prime cost of labour, plant and material, and what is charged for it.

    percents: additions to labour, plant and material; None: no charge of its own, so it is priced
    with overhead and margin as other work.
    """
    labour = round_line(hours * hourly)
    if percents is None:
        return Daywork(labour, plant, material, None)
    parts = zip((labour, plant, material), percents, strict=True)
    charge = sum((round_line(part * (1 + percent / HUNDRED)) for part, percent in parts), ZERO)
    return Daywork(labour, plant, material, charge)
