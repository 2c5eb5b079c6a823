"""A job's variations on its page and on its quote's, and what today needs of them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time, timedelta
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from jobs.kernel.clock import at_wall, london_day
from jobs.kernel.panels import TodayEntry, panel, today_entry
from jobs.kernel.templatetags import firm
from jobs.work.enums import Stage
from jobs.work.models import Job
from quotes.quoting.models import Revision
from quotes.variations import queries
from quotes.variations.models import Variation

SEE = "jobs.see_billing"
BOOK = "jobs.book_crews"
SOON = timedelta(days=5)
EVENING = time(17, 0)


@panel(page="job", order=35, permission=SEE)
def variations_of_job(request: HttpRequest, job: Job) -> tuple[str, dict[str, Any]] | None:
    """Return a won job's variations and the way to start one; one query."""
    if job.stage not in Stage.AFTER_WON:
        return None
    may = job.is_open and request.user.has_perm("jobs.write_quote")
    return "quotes/variations/panel.html", {
        "variations": list(queries.variations_of(job)),
        "start_url": reverse("variations:start", args=[job.pk]) if may else "",
    }


@panel(page="quote", order=40, permission=SEE)
def variations_of_quote(
    request: HttpRequest, revision: Revision
) -> tuple[str, dict[str, Any]] | None:
    """Return the variations of an accepted quote."""
    if revision.state != "accepted":
        return None
    return variations_of_job(request, revision.quote.job)


def days_panel(request: HttpRequest, job: Job) -> tuple[str, dict[str, Any]] | None:
    """Return the accepted variations of a job whose days wait; two queries, one where none is."""
    found = queries.days_to_see_to(job)
    if not found:
        return None
    may = request.user.has_perm(BOOK)
    return "quotes/variations/days_note.html", {"due": found, "may": may}


@panel(page="job", order=49, permission="jobs.view_work")
def days_of_job(request: HttpRequest, job: Job) -> tuple[str, dict[str, Any]] | None:
    """Say above a job's bookings which accepted variations they have not followed."""
    return days_panel(request, job) if job.stage in queries.AT_WORK else None


@panel(page="booking", order=35, permission="jobs.view_work")
def days_of_booking(request: HttpRequest, booking: Any) -> tuple[str, dict[str, Any]] | None:
    """Say the same at each booking of the job."""
    return days_of_job(request, booking.job)


@today_entry(permission=BOOK)
def days_to_see_to(user: Any, now: datetime) -> Iterator[TodayEntry]:
    """Yield the accepted variations whose days the booking has not followed; two queries."""
    del user, now
    for due in queries.days_to_see_to():
        if due.booked:
            row = due.variation
            yield TodayEntry(
                None, f"{row.revision.quote.job.title}: {due.words}",
                f"{row.title}, accepted {firm.day_year(row.closed_at)}; the booking stands as it "
                "was then.",
                reverse("variations:days", args=[row.pk]), "See to the days",
            )  # fmt: skip


@today_entry(permission="jobs.send_quote")
def not_drawn(user: Any, now: datetime) -> Iterator[TodayEntry]:
    """Yield sent variations that never left, for their PDF could not be drawn; one query."""
    del user, now
    rows = Variation.objects.filter(state="sent", pdf_uid=None).exclude(drawing_error="")
    for row in queries.with_all(rows).defer("snapshot"):
        yield TodayEntry(
            None, f"{row.revision.quote.job.title}: {row} has not gone to the customer",
            f"Its PDF could not be drawn: {row.drawing_error}", row.get_absolute_url(),
            "Open the variation", "stop",
        )  # fmt: skip


@today_entry(permission="jobs.send_quote")
def variations_to_see_to(user: Any, now: datetime) -> Iterator[TodayEntry]:
    """Yield variations that wait for an answer and soon end, or must soon be ordered for."""
    del user
    today = london_day(now)
    rows = Variation.objects.filter(state="sent", valid_until__gte=today)
    for variation in queries.with_all(rows).defer("snapshot").order_by("valid_until", "pk"):
        ends = at_wall(variation.valid_until, EVENING)
        by = variation.order_by
        first = by if by is not None and by.timestamp() < ends.timestamp() else ends
        if first.timestamp() <= (now + SOON).timestamp():
            why = f"It holds until {firm.day_year(variation.valid_until)}."
            if first is by:
                why = f"What it adds must be ordered by {firm.day(by)}, {firm.wall(by)}."
            yield TodayEntry(
                first, f"{variation.revision.quote.job.title}: {variation} has no answer",
                f"{why} Ring the customer.", variation.get_absolute_url(), "Open the variation",
            )  # fmt: skip
