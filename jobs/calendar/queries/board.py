"""The week as a board of plain values: resources down, half-days across."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta
from itertools import groupby

from jobs.calendar.enums import SEVERAL, Half, ResourceKind
from jobs.calendar.models import Booking, BookingFinding, Resource, Slot
from jobs.calendar.queries.lines import Day, day_lines
from jobs.calendar.rules import WorkingCalendar
from jobs.people.models import Person


@dataclass
class Cell:
    """What one resource does for a run of half-days: a booking, leave, or nothing."""

    span: int
    day: date
    half: str
    booking: Booking | None = None
    away: str = ""
    level: str = ""


@dataclass
class Row:
    """One resource's week."""

    resource: Resource
    cells: list[Cell] = field(default_factory=list)


@dataclass
class Board:
    """A week: its days, whether each is closed, and the rows by kind of resource."""

    days: list[tuple[date, bool]]
    groups: list[tuple[str, list[Row]]]
    previous: date
    following: date
    lines: list[Day]


def monday_of(day: date) -> date:
    """Return the Monday of a day's week."""
    return day - timedelta(days=day.weekday())


def week_board(monday: date, calendar: WorkingCalendar, whose: Person | None = None) -> Board:
    """Return the week that begins on `monday`: four queries, whatever is booked.

    Its lines by day are only those of `whose` crew, where one is given.
    """
    days = [monday + timedelta(days=n) for n in range(7)]
    # Saturday and Sunday show only where something lies there or the firm works then.
    resources = list(Resource.objects.filter(archived_at=None))
    slots = list(
        Slot.objects.filter(day__gte=days[0], day__lte=days[-1]).select_related(
            "booking__job__site", "leave", "resource"
        )
    )
    levels = worst_levels({slot.booking_id for slot in slots if slot.booking_id})
    busy = {slot.day for slot in slots}
    shown = [day for day in days if day.weekday() < 5 or day in busy or calendar.is_open(day)]
    by_place = {(slot.resource_id, slot.day, slot.half): slot for slot in slots}
    rows = [Row(resource, cells_of(resource, shown, by_place, levels)) for resource in resources]
    order = list(ResourceKind)
    rows.sort(key=lambda row: (order.index(ResourceKind(row.resource.kind)), row.resource.name))
    groups = [
        (SEVERAL[ResourceKind(kind)], list(found))
        for kind, found in groupby(rows, key=lambda row: row.resource.kind)
    ]
    week = timedelta(days=7)
    heads = [(day, not calendar.is_open(day)) for day in shown]
    lines = day_lines(heads, slots, levels, whose)
    return Board(heads, groups, monday - week, monday + week, lines)


def worst_levels(booking_ids: Iterable[int]) -> dict[int, str]:
    """Return the worst level among each booking's findings that nobody overrode."""
    rank = {"note": 0, "look": 1, "stop": 2}
    worst: dict[int, str] = {}
    found = BookingFinding.objects.filter(booking_id__in=list(booking_ids), overridden_at=None)
    for booking_id, level in found.values_list("booking_id", "level"):
        if rank[level] >= rank.get(worst.get(booking_id, "note"), 0):
            worst[booking_id] = level
    return worst


def cells_of(
    resource: Resource,
    days: list[date],
    slots: dict[tuple[int, date, str], Slot],
    levels: dict[int, str],
) -> list[Cell]:
    """Return a resource's week, runs of the same booking drawn as one cell."""
    cells: list[Cell] = []
    for day in days:
        for half in Half.values:
            slot = slots.get((resource.pk, day, half))
            last = cells[-1] if cells else None
            if slot and slot.booking and last and last.booking == slot.booking:
                last.span += 1
            elif slot and slot.booking:
                level = levels.get(slot.booking.pk, "ready")
                cells.append(Cell(1, day, half, booking=slot.booking, level=level))
            elif slot and slot.leave:
                if last and last.away == slot.leave.reason:
                    last.span += 1
                else:
                    cells.append(Cell(1, day, half, away=slot.leave.reason))
            else:
                cells.append(Cell(1, day, half))
    return cells
