"""The week as a list by day, for a phone and for one crew: no queries beyond the board's."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date

from jobs.calendar.enums import Half
from jobs.calendar.models import Booking, Slot
from jobs.people.models import Person


@dataclass
class Line:
    """One booking, or one absence, on one day: when and who."""

    booking: Booking | None
    away: str
    level: str
    halves: set[str] = field(default_factory=set)
    names: list[str] = field(default_factory=list)

    @property
    def when(self) -> str:
        """'all day', 'morning' or 'afternoon'."""
        if len(self.halves) == len(Half):
            return "all day"
        return str(Half(next(iter(self.halves))).label)


@dataclass
class Day:
    """A day with its lines, mornings first."""

    day: date
    closed: bool
    lines: list[Line]


def day_lines(
    days: Iterable[tuple[date, bool]],
    slots: Iterable[Slot],
    levels: dict[int, str],
    whose: Person | None = None,
) -> list[Day]:
    """Return each day's lines; with `whose`, only what his crew or he himself is booked for."""
    found: dict[date, dict[tuple[int, int], Line]] = {}
    mine = {slot.booking_id or -slot.pk for slot in slots if is_of(slot, whose)}
    for slot in slots:
        if (slot.booking_id or -slot.pk) not in mine:
            continue
        key = (slot.booking_id or 0, slot.leave_id or 0)
        line = found.setdefault(slot.day, {}).get(key)
        if line is None:
            level = levels.get(slot.booking_id, "ready") if slot.booking_id else ""
            away = slot.leave.reason if slot.leave else ""
            line = found[slot.day].setdefault(key, Line(slot.booking, away, level))
        line.halves.add(slot.half)
        if slot.resource.name not in line.names:
            line.names.append(slot.resource.name)
    return [
        Day(day, closed, sorted(found.get(day, {}).values(), key=in_order)) for day, closed in days
    ]


def in_order(line: Line) -> tuple[bool, str, str]:
    """Bookings before absences, mornings before afternoons, then by the first name."""
    return line.booking is None, min(line.halves), line.names[0]


def is_of(slot: Slot, whose: Person | None) -> bool:
    """Return whether a slot is that person's or his crew's; anybody's with None."""
    if whose is None:
        return True
    resource = slot.resource
    in_crew = whose.crew_id is not None and resource.crew_id == whose.crew_id
    return in_crew or resource.person_id == whose.pk
