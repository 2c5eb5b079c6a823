"""The firm's clock is Europe/London. Only views, tasks and commands read it; services are told."""

from __future__ import annotations

from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from django.utils import timezone

LONDON = ZoneInfo("Europe/London")


def now() -> datetime:
    """Return the present instant, aware, in London's zone."""
    return timezone.now().astimezone(LONDON)


def london_day(at: datetime) -> date:
    """Return the day in London on which the instant `at` falls."""
    return at.astimezone(LONDON).date()


def at_wall(day: date, wall: time) -> datetime:
    """Return the instant of a wall time in London.

    In the hour that comes twice the first is meant (fold 0), which is the safe one for a cut-off.
    """
    return datetime.combine(day, wall, tzinfo=LONDON)


def read_instant(text: str) -> datetime:
    """Read an ISO 8601 instant; one without an offset is London's (ValueError if unreadable)."""
    at = datetime.fromisoformat(text)
    return at.replace(tzinfo=LONDON) if at.tzinfo is None else at
