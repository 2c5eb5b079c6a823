"""What the ledger asks of today."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.urls import reverse

from jobs.kernel.clock import london_day
from jobs.kernel.panels import TodayEntry, today_entry
from stock.ledger.models import KeptBack


@today_entry("jobs.reserve_stock")
def kept_back_too_long(user: Any, now: datetime) -> Iterable[TodayEntry]:
    """One line for what was kept back until a day that is past: one query."""
    past = KeptBack.objects.open().for_list().filter(until__lt=london_day(now))
    found = list(past[:21])
    if not found:
        return []
    many = len(found) > 1
    return [
        TodayEntry(
            at=None, title=f"{len(found)} lots are kept back past their day" if many
            else f"{found[0]} is past its day",
            why=f"{found[0].lot} was kept until {found[0].until:%d %b %Y}. Release it, or "
            "release it and keep it back anew.",
            url=reverse("ledger:kept_back"), button="Look at them" if many else "Look at it",
            level="note",
        )
    ]  # fmt: skip
