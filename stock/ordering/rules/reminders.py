"""When a person is told of shortages, reckoned without rows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from hashlib import sha256

from jobs.calendar.rules import WorkingCalendar
from jobs.kernel.clock import at_wall, london_day

DIGEST_AT = time(7, 0)
LAST_CALL_BEFORE = timedelta(hours=1)
# On the working day before a closed one: early enough to act on.
BEFORE_CLOSED_AT = time(15, 0)


def digest_due(at: datetime, firm: WorkingCalendar) -> datetime | None:
    """Return the moment of today's digest when it has come; None before it or when closed."""
    today = london_day(at)
    due = at_wall(today, DIGEST_AT)
    return due if firm.is_open(today) and due <= at else None


def last_call_due(order_by: datetime, firm: WorkingCalendar) -> datetime:
    """Return when to call for the last time: an hour before, or on our working day before.

    Where the hour before falls on a day when we are closed, nobody is there to act on it.
    """
    due = order_by - LAST_CALL_BEFORE
    day = london_day(due)
    if firm.is_open(day):
        return due
    return at_wall(firm.on_or_before(day), BEFORE_CLOSED_AT)


def next_open_morning(at: datetime, firm: WorkingCalendar) -> datetime:
    """Return when the digest of our next working day goes; what closes before is for today."""
    return at_wall(firm.after(london_day(at), 1), DIGEST_AT)


@dataclass(frozen=True)
class Due:
    """A reminder that is owed: kind, occasion (the same occasion never makes a second), when."""

    kind: str
    occasion: str
    day: date
    due_at: datetime
    shortage_ids: tuple[int, ...]


def occasion(kind: str, user_id: int, *parts: object) -> str:
    """Return the name of an occasion; long lists of parts are hashed."""
    text = "-".join(str(part) for part in parts)
    if len(text) > 60:
        text = sha256(text.encode()).hexdigest()[:32]
    return f"{kind}:{user_id}:{text}"


def ids_text(ids: Iterable[int]) -> str:
    """Return shortages in one fixed writing."""
    return ",".join(str(pk) for pk in sorted(ids))
