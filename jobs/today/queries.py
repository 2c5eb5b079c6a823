"""What needs doing today, gathered from every room that registered a provider."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from jobs.kernel.clock import LONDON, london_day
from jobs.kernel.registries import TODAY, TodayEntry

FAR = datetime.max.replace(tzinfo=LONDON) - timedelta(days=2)


def entries_for(user: Any, at: datetime) -> list[TodayEntry]:
    """Return the entries this user may act on, by the clock; those without a time come last."""
    found: list[TodayEntry] = []
    for permission, provider in TODAY:
        if user.has_perm(permission):
            found += provider(user, at)
    return sorted(found, key=lambda entry: (entry.at or FAR, entry.title))


def split_by_day(
    entries: list[TodayEntry], at: datetime
) -> tuple[list[TodayEntry], list[TodayEntry]]:
    """Return (what is for today or overdue or has no time, what comes later)."""
    today = london_day(at)
    now = [entry for entry in entries if entry.at is None or london_day(entry.at) <= today]
    return now, [entry for entry in entries if entry not in now]
