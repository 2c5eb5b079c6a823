"""Years of a yard's movements, by arithmetic: written by COPY, and the same through the services.

Every lot lives the same life, so that each of its figures is known: 480 units come in, sixteen jobs
draw 30 each, lay 28 and bring 2 back, and what is then left is wasted. That is 50 movements.
A unit costs £1.00. Lots of the last fortnight are not wasted yet and lie in the yard.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from uuid import UUID

RECEIVED, DRAWN, LAID, BACK, JOBS = 480, 30, 28, 2, 16
MOVEMENTS = 2 + 3 * JOBS
LOTS_A_YEAR = 2000
TOGETHER = 10  # lots that are booked together, in one posting
IN_YARD = 80  # of the last lots, however many years there are
PENNIES = 100
START = date(2016, 5, 2)
STEPS = ["receive", *(kind for _ in range(JOBS) for kind in ("issue", "lay", "return")), "waste"]


@dataclass(frozen=True)
class World:
    """Numbers of the rows that every lot and movement hangs on; jobs cycle, each with its site."""

    items: list[int]
    bays: list[int]
    jobs: list[int]
    sites: list[int]
    supplier: int
    laid: int
    waste: int


@dataclass(frozen=True)
class Move:
    """One movement of one lot of one group, with its posting."""

    kind: str
    quantity: int
    from_place: int
    to_place: int
    job: int | None
    pennies: int | None


def group_moves(world: World, group: int, *, wasted: bool) -> Iterator[Move]:
    """Yield what happens to each lot of a group, in order."""
    bay = world.bays[group % len(world.bays)]
    yield Move("receive", RECEIVED, world.supplier, bay, None, None)
    for number in range(JOBS):
        at = (group * JOBS + number) % len(world.jobs)
        job, site = world.jobs[at], world.sites[at]
        yield Move("issue", DRAWN, bay, site, job, DRAWN * PENNIES)
        yield Move("lay", LAID, site, world.laid, job, None)
        yield Move("return", BACK, site, bay, job, BACK * PENNIES)
    if wasted:
        yield Move("waste", BACK * JOBS, bay, world.waste, None, None)


def day_of(group: int, groups: int, step: int, years: int) -> date:
    """Return the day of a step of a group's life; groups follow each other over the years."""
    return START + timedelta(days=int(group / groups * years * 365) + step // 4)


def moment(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, 9, tzinfo=UTC)


def key_of(group: int, step: int) -> UUID:
    return UUID(int=(1 << 100) + group * 1000 + step)


def item_of(world: World, number: int) -> int:
    return world.items[number % len(world.items)]
