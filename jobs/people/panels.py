"""What people add to today: somebody whose hour costs nothing yet."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.urls import reverse

from jobs.kernel.clock import london_day
from jobs.kernel.panels import TodayEntry, today_entry
from jobs.people.queries import without_rate


@today_entry("jobs.see_margin")
def rates_missing(user: Any, now: datetime) -> Iterable[TodayEntry]:
    """People whose hours nobody can enter, for want of a rate: one query."""
    for person in without_rate(london_day(now)):
        yield TodayEntry(
            at=None,
            title=f"{person.name}: what an hour costs is not set",
            why="No hours can be entered until it is.",
            url=reverse("people:rate", args=[person.pk]),
            button="Set the rate",
            level="look",
        )
