"""The last moment to order: cut-offs on the supplier's clock and three calendars of days.

An order at or before the cut-off second counts that day, else on the next day that the supplier
works and has a cut-off. The lead runs in his working days from the day after. It arrives on the
first day, at or after the lead day, on which he works, he delivers to us and our yard receives.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from math import ceil
from zoneinfo import ZoneInfo

from jobs.calendar.rules import HORIZON, NoOpenDayError, WorkingCalendar

ONE = timedelta(days=1)
SECOND = timedelta(seconds=1)


@dataclass(frozen=True)
class ChannelTerms:
    """What one way to order promises, as plain values.

    clock: the supplier's zone; cutoffs: weekday (Monday 0) to local wall time, no entry where no
    order counts; lead_days: his working days; works, delivers: his calendars; receives: ours.
    """

    clock: ZoneInfo
    cutoffs: Mapping[int, time]
    lead_days: int
    works: WorkingCalendar
    delivers: WorkingCalendar
    receives: WorkingCalendar

    def counts_on(self, day: date) -> bool:
        """Return whether an order can count on this day at all."""
        return day.weekday() in self.cutoffs and self.works.is_open(day)


@dataclass(frozen=True)
class Moment:
    """The last moment on a channel, and the day on which what was ordered then arrives."""

    order_by: datetime
    arrives_on: date


def cutoff_instant(day: date, wall: time, clock: ZoneInfo) -> datetime:
    """Return the instant of a wall time on a day, in UTC.

    In the hour that comes twice the first is meant. A time that the clocks jump over has no
    instant; then it is the last second before the jump, which nobody can take for too late.
    """
    first = datetime.combine(day, wall, tzinfo=clock).replace(fold=0).astimezone(UTC)
    if first.astimezone(clock).replace(tzinfo=None) == datetime.combine(day, wall):
        return first
    return _last_second_before_jump(first, clock)


def _last_second_before_jump(after: datetime, clock: ZoneInfo) -> datetime:
    """Return the last second with the offset of the day before, by halving."""
    before = after - timedelta(hours=6)
    old = before.astimezone(clock).utcoffset()
    while after - before > SECOND:
        middle = before + timedelta(seconds=(after - before) // SECOND // 2)
        if middle.astimezone(clock).utcoffset() == old:
            before = middle
        else:
            after = middle
    return before


def counting_day(at: datetime, terms: ChannelTerms) -> date:
    """Return the supplier's day on which an order given at `at` counts.

    Raises NoOpenDayError where no cut-off falls on a working day.
    """
    # Compared in UTC: Python compares wall times when both carry the same zone.
    second = at.astimezone(UTC).replace(microsecond=0)
    day = at.astimezone(terms.clock).date()
    for _ in range(HORIZON):
        if terms.counts_on(day) and second <= cutoff_of(day, terms):
            return day
        day += ONE
    raise NoOpenDayError("No order counts on this channel within two years; check its cut-offs.")


def cutoff_of(day: date, terms: ChannelTerms) -> datetime:
    """Return the cut-off of a day on which orders count, in UTC."""
    return cutoff_instant(day, terms.cutoffs[day.weekday()], terms.clock)


def arrival_of(counted: date, terms: ChannelTerms) -> date:
    """Return when an order that counted on a day arrives. Raises NoOpenDayError: never."""
    day = terms.works.after(counted, terms.lead_days)
    for _ in range(HORIZON):
        if terms.works.is_open(day) and terms.delivers.is_open(day) and terms.receives.is_open(day):
            return day
        day += ONE
    raise NoOpenDayError("No day within two years suits both the supplier and our yard.")


def arrival(at: datetime, terms: ChannelTerms) -> date:
    """Return the day on which an order given at `at` arrives. Raises NoOpenDayError: never."""
    return arrival_of(counting_day(at, terms), terms)


def order_by(needed_on: date, terms: ChannelTerms) -> Moment | None:
    """Return the last moment that still arrives by `needed_on`, or None: it never does.

    A later order never arrives earlier, so the first day found going back is the last one.
    """
    day = needed_on
    for _ in range(HORIZON):
        if terms.counts_on(day):
            try:
                arrives = arrival_of(day, terms)
            except NoOpenDayError:
                return None
            if arrives <= needed_on:
                return Moment(cutoff_of(day, terms), arrives)
        day -= ONE
    return None


def next_cutoff(at: datetime, terms: ChannelTerms) -> datetime | None:
    """Return the next cut-off at or after `at`, or None: there is none."""
    try:
        return cutoff_of(counting_day(at, terms), terms)
    except NoOpenDayError:
        return None


def needed_on(first_day: date, firm: WorkingCalendar, conditioning_hours: int = 0) -> date:
    """Return the last of our working days before a phase by whose end a thing must be here.

    A kit that wants so many hours at temperature must be here that much earlier: its hours are
    counted back from the beginning of the phase's first day, and only whole days before count.
    """
    return firm.before(first_day - ONE * ceil(conditioning_hours / 24), 1)
