"""The regular look at quotes and variations that wait for an answer."""

from __future__ import annotations

from celery import shared_task

from jobs.calendar.queries import firm_calendar
from jobs.kernel.clock import now
from jobs.kernel.taskrun import recorded
from quotes.chasing import queries, services
from quotes.chasing.rules import is_decent


@shared_task(name="quotes.chasing.sweep")
def sweep() -> None:
    """Write the reminders that are due; outside office hours none is."""
    with recorded("quotes.chasing.sweep") as say:
        at, calendar = now(), firm_calendar()
        services.keep_plans(at=at)
        due = queries.to_chase(at, calendar) if is_decent(at, calendar) else []
        written = [services.chase(revision_id=pk, at=at) for pk in due]
        open_ones = queries.variations_to_chase(at, calendar) if is_decent(at, calendar) else []
        written += [services.chase_variation(variation_id=pk, at=at) for pk in open_ones]
        say(f"{sum(message is not None for message in written)} reminded")


@shared_task(name="quotes.chasing.prices")
def prices() -> None:
    """Look once a day whether the waiting quotes cost us more than when they were sent."""
    with recorded("quotes.chasing.prices") as say:
        at = now()
        found = [services.check_prices(revision_id=pk, at=at) for pk in queries.to_check(at.date())]
        say(f"{len(found)} looked at, {sum(watch.rise is not None for watch in found)} risen")
