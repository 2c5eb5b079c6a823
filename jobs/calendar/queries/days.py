"""Reading the calendar: our working days, and when each phase of a job is booked."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from functools import cache
from typing import Any

from django.db.models import Max, Min, QuerySet
from govuk_bank_holidays.bank_holidays import BankHolidays

from jobs.calendar.enums import ClosedFor
from jobs.calendar.models import Booking, ClosedDay
from jobs.calendar.rules import WorkingCalendar
from jobs.kernel.compiled import CompiledQuery


@cache
def bank_holidays() -> frozenset[date]:
    """Return the bank holidays of England and Wales that the installed data file knows."""
    data = BankHolidays(use_cached_holidays=True)
    return frozenset(
        row["date"] for row in data.get_holidays(division=BankHolidays.ENGLAND_AND_WALES)
    )


def firm_calendar() -> WorkingCalendar:
    """Return the days on which the firm works."""
    return WorkingCalendar(closed=bank_holidays() | _closed(ClosedFor.FIRM))


def yard_calendar() -> WorkingCalendar:
    """Return the days on which the yard can receive: those the firm works, less the yard's own."""
    closed = bank_holidays() | _closed(ClosedFor.FIRM, ClosedFor.YARD)
    return WorkingCalendar(closed=closed)


def _closed(*calendars: str) -> frozenset[date]:
    return frozenset(ClosedDay.objects.filter(calendar__in=calendars).values_list("day", flat=True))


def phase_days(job_ids: Iterable[int]) -> dict[int, dict[str, tuple[date, date]]]:
    """Return for each job its booked phases with their first and last day; one query."""
    found: dict[int, dict[str, tuple[date, date]]] = {}
    for job_id, phase, first, last in BOOKED_PHASES.rows(list(job_ids)):
        found.setdefault(job_id, {})[phase] = (first, last)
    return found


def _booked_phases(job_ids: Sequence[int]) -> QuerySet[Any, Any]:
    rows: QuerySet[Any, Any] = (
        Booking.objects.filter(job_id__in=job_ids, cancelled_at=None, first_day__isnull=False)
        .values("job_id", "phase")
        .annotate(first=Min("first_day"), last=Max("last_day"))
        .order_by("job_id", "phase")
        .values_list("job_id", "phase", "first", "last")
    )
    return rows


BOOKED_PHASES = CompiledQuery(_booked_phases)
