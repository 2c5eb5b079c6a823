"""Working days: reckoning on days, no rows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from jobs.calendar.enums import Half
from jobs.kernel.errors import ServiceError

ONE = timedelta(days=1)
# Two years without an open day means a calendar that was typed wrongly, not a long holiday.
HORIZON = 731
MOST_DAYS = 60


class NoOpenDayError(ValueError):
    """No open day within two years: the calendar is closed for good."""


@dataclass(frozen=True)
class WorkingCalendar:
    """A week of seven flags, Monday first ('1111100'), less the closed days."""

    week: str = "1111100"
    closed: frozenset[date] = frozenset()

    def is_open(self, day: date) -> bool:
        return self.week[day.weekday()] == "1" and day not in self.closed

    def on_or_after(self, day: date) -> date:
        """Return `day` if it is open, else the next open one."""
        return self._walk(day, ONE)

    def on_or_before(self, day: date) -> date:
        """Return `day` if it is open, else the one before that is."""
        return self._walk(day, -ONE)

    def after(self, day: date, count: int) -> date:
        """Return the open day `count` open days after `day`; the day itself is not counted.

        With count 0 it is `day`, or the next open day if `day` is closed.
        """
        if count == 0:
            return self.on_or_after(day)
        for _ in range(count):
            day = self._walk(day + ONE, ONE)
        return day

    def before(self, day: date, count: int) -> date:
        """Return the open day `count` open days before `day`; the day itself is not counted."""
        if count == 0:
            return self.on_or_before(day)
        for _ in range(count):
            day = self._walk(day - ONE, -ONE)
        return day

    def between(self, first: date, last: date) -> list[date]:
        """Return the open days from `first` to `last`, both included."""
        days = (first + ONE * n for n in range((last - first).days + 1))
        return [day for day in days if self.is_open(day)]

    def _walk(self, day: date, step: timedelta) -> date:
        for _ in range(HORIZON):
            if self.is_open(day):
                return day
            day += step
        raise NoOpenDayError("This calendar has no open day within two years; check its week.")


@dataclass(frozen=True, order=True)
class HalfDay:
    """One half of one day."""

    day: date
    half: str


def days_in_words(when: Iterable[HalfDay]) -> list[tuple[date, str]]:
    """Return each day with 'all day', 'morning' or 'afternoon', in order."""
    halves: dict[date, set[str]] = {}
    for slot in when:
        halves.setdefault(slot.day, set()).add(slot.half)
    return [
        (day, "all day" if len(found) == len(Half) else str(Half(min(found)).label))
        for day, found in sorted(halves.items())
    ]


def half_days(
    first: date, last: date, *, first_half: str = "am", last_half: str = "pm"
) -> list[HalfDay]:
    """Return the half-days from the first half of `first` to the last half of `last`.

    Weekends and holidays are not left out: who books them means them, and a check says so.
    """
    if last < first or (first == last and (first_half, last_half) == ("pm", "am")):
        raise ServiceError("The last half-day is before the first.", field="last")
    if (last - first).days >= MOST_DAYS:
        raise ServiceError(f"That is more than {MOST_DAYS} days; book it in parts.", field="last")
    days = [date.fromordinal(n) for n in range(first.toordinal(), last.toordinal() + 1)]
    every = [HalfDay(day, half) for day in days for half in Half.values]
    start, end = HalfDay(first, first_half), HalfDay(last, last_half)
    return [slot for slot in every if start <= slot <= end]
