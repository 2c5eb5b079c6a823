"""Days and hours of a message: never shorter than what the kit's record prints; no rows."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import date, datetime, time, timedelta
from math import ceil
from typing import Any

from jobs.calendar.enums import Half
from jobs.kernel.clock import LONDON, at_wall, london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.registries import SurfaceTimes
from jobs.kernel.templatetags.firm import day_year

# Work on a day is over by then: common practice, no source.
DAY_ENDS = time(18, 0)
HOUR = 60
DURATION = re.compile(
    r"(\d+(?:[.,]\d+)?)[ \u00a0]?(minutes?|mins?|hours?|hrs?|h|days?|min)\b", re.IGNORECASE
)
MINUTES = {"m": 1, "h": HOUR, "d": 24 * HOUR}
MOST_HOURS = 24 * 60


@dataclass(frozen=True)
class Details:
    """What a kind of message is filled with beside the job's own record."""

    booking: int | None = None
    old_first: date | None = None
    old_last: date | None = None
    car_from: date | None = None
    car_until: date | None = None
    laid_on: date | None = None
    foot_hours: int | None = None
    vehicle_hours: int | None = None

    def as_json(self) -> dict[str, Any]:
        """Return those that are set, as a row keeps them."""
        return {
            name: value.isoformat() if isinstance(value, date) else value
            for name, value in asdict(self).items()
            if value is not None
        }


def old_days(details: Details) -> str:
    """Return the days that no longer hold: 'Tue 19 May 2026', or from one to the other."""
    first, last = details.old_first, details.old_last or details.old_first
    if first is None:
        return ""
    if last is None or last == first:
        return day_year(first)
    return f"{day_year(first)} to {day_year(last)}"


def half_words(half: str) -> str:
    """Return 'morning' or 'afternoon'."""
    return str(Half(half).label)


def check_car(details: Details, last_lay: date | None, floor: Floor) -> None:
    """Refuse a car's absence that ends before it begins, or before wheels may touch the surface."""
    if details.car_from is None:
        raise ServiceError("Say from which day no car may stand there.", field="car_from")
    if details.car_until is None:
        raise ServiceError("Say on which day it may come back.", field="car_until")
    if details.car_until <= details.car_from:
        raise ServiceError("It cannot come back before it has gone.", field="car_until")
    if last_lay is None or floor.vehicles is None:
        return
    soonest = earliest_return(last_lay, floor.vehicles)
    if details.car_until < soonest:
        raise ServiceError(
            f"The kit's record says {hours(floor.vehicles)} for vehicles: not before "
            f"{day_year(soonest)}.",
            field="car_until",
        )


def earliest_return(last_day: date, hours: int) -> date:
    """Return the first day on which a car may stand there again, so many hours after laying."""
    ready = at_wall(last_day, DAY_ENDS).timestamp() + hours * 3600
    moment = datetime.fromtimestamp(ready, tz=LONDON)
    day = london_day(moment)
    # Ready in the course of a day means the day after: the word is a day, not an hour.
    return day if moment.time() == time(0) else day + timedelta(days=1)


@dataclass(frozen=True)
class Floor:
    """The shortest times that a message may say, in hours, and which kits they come from.

    None where no record prints one: then a person types it from the data sheet. `complete` says
    whether every kit printed both.
    """

    foot: int | None
    vehicles: int | None
    names: tuple[str, ...] = ()
    complete: bool = True

    @property
    def words(self) -> str:
        """Where the figures come from."""
        if not self.names:
            return "No kit is known for this job: type the times from its data sheet."
        kits = " and ".join(self.names)
        if not self.complete:
            return f"A time is missing in the record of {kits}: see the data sheet before you type."
        return (
            f"{kits}: {hours(self.foot)} on foot and {hours(self.vehicles)} for vehicles at 20 °C, "
            "by the kit's record. In the cold it takes longer."
        )


def floor_of(times: Iterable[SurfaceTimes]) -> Floor:
    """Return the longest of what the kits print, in whole hours; wheels never before feet."""
    rows = list(times)
    foot = _longest(row.foot_minutes for row in rows)
    vehicles = _longest(row.vehicle_minutes for row in rows)
    if foot is not None and vehicles is not None:
        vehicles = max(vehicles, foot)
    complete = all(row.foot_minutes and row.vehicle_minutes for row in rows)
    return Floor(foot, vehicles, tuple(dict.fromkeys(row.name for row in rows)), complete)


def _longest(minutes: Iterable[int | None]) -> int | None:
    known = [one for one in minutes if one]
    return ceil(max(known) / HOUR) if known else None


def hours(count: int | None) -> str:
    """Write hours as a message says them."""
    if count is None:
        return ""
    return "1 hour" if count == 1 else f"{count} hours"


def check_times(details: Details, floor: Floor) -> None:
    """Refuse times that are missing, in the wrong order, or shorter than the kit's record."""
    foot, wheels = details.foot_hours, details.vehicle_hours
    if foot is None:
        raise ServiceError("Say after how many hours it may be walked on.", field="foot_hours")
    if wheels is None:
        raise ServiceError("Say after how many hours it may be driven on.", field="vehicle_hours")
    for field, typed, least in (
        ("foot_hours", foot, floor.foot),
        ("vehicle_hours", wheels, floor.vehicles),
    ):
        if least is not None and typed < least:
            raise ServiceError(
                f"The kit's record says at least {hours(least)}; a message never says less.",
                field=field,
            )
    if wheels < foot:
        raise ServiceError("Wheels cannot come before feet.", field="vehicle_hours")


def check_still_says(body: str, needles: Iterable[str]) -> None:
    """Refuse edited words from which a day or a time was lost."""
    for needle in needles:
        if not re.search(rf"(?<!\w){re.escape(needle)}(?!\w)", body):
            raise ServiceError(
                f"The words no longer say '{needle}'. Fill them in again, or write it.",
                field="body",
            )


def check_still_says_times(body: str, details: Details) -> None:
    """Refuse edited words that lost a time, or that speak of a shorter one."""
    foot, wheels = details.foot_hours or 0, details.vehicle_hours or 0
    check_still_says(body, [hours(foot), hours(wheels)])
    for number, unit in DURATION.findall(body):
        minutes = float(number.replace(",", ".")) * MINUTES[unit[0].lower()]
        if minutes < foot * HOUR:
            raise ServiceError(
                f"'{number} {unit}' is shorter than the {hours(foot)} until feet.", field="body"
            )
