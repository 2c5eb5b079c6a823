"""The daily reckoning of what to reorder, and the sweep that finds a day without one."""

from __future__ import annotations

from datetime import time, timedelta

from celery import shared_task

from jobs.kernel.clock import at_wall, london_day, now
from jobs.kernel.taskrun import recorded
from stock.reorder.enums import SuggestionState
from stock.reorder.queries import latest_run
from stock.reorder.services import suggest

# When the scheduler rings for the daily reckoning; see config/settings.
DAILY_AT = time(5, 30)


@shared_task(name="stock.reorder.daily")
def daily() -> None:
    """Reckon today's suggestions; safe to repeat."""
    with recorded("stock.reorder.daily") as say:
        at = now()
        run = suggest(on=london_day(at), at=at)
        rows = list(run.suggestions.values_list("state", flat=True))
        stuck = rows.count(SuggestionState.NO_WAY)
        say(f"{len(rows) - stuck} to order, {stuck} cannot be met")


@shared_task(name="stock.reorder.sweep")
def sweep() -> None:
    """Do the day's reckoning if its bell was lost, or if there was never one."""
    at = now()
    today = london_day(at)
    due = today if at >= at_wall(today, DAILY_AT) else today - timedelta(days=1)
    latest = latest_run()
    if latest is None or latest.on < due:
        daily()
