"""What went to the customer and what comes next; and that prices rose since sending."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from jobs.kernel.clock import at_wall, london_day
from jobs.kernel.panels import TodayEntry, panel, today_entry
from jobs.kernel.templatetags import firm
from quotes.chasing import queries
from quotes.chasing.models import Watch
from quotes.chasing.queries import Reminder
from quotes.chasing.rules import SOON
from quotes.quoting.models import Revision
from quotes.variations.models import Variation

EVENING = time(17, 0)


@panel(page="quote", order=5, permission="jobs.write_quote")
def renew(request: HttpRequest, revision: Revision) -> tuple[str, dict[str, Any]] | None:
    """Offer the one press that prices a waiting quote again, where its price or day needs it."""
    if revision.state != "sent" or revision.valid_until is None:
        return None
    today = london_day(request.now)  # type: ignore[attr-defined]
    watch = Watch.objects.filter(revision=revision).first()
    ends = revision.valid_until <= today + SOON
    if not ends and (watch is None or watch.rise is None):
        return None
    reasons = [
        *(["prices rose since it was sent"] if watch and watch.rise else []),
        *([f"it holds until {firm.day_year(revision.valid_until)}"] if ends else []),
    ]
    return "quotes/chasing/renew.html", {
        "reason": f"{' and '.join(reasons)}.".capitalize(),
        "url": reverse("chasing:renew", args=[revision.pk]),
    }


@panel(page="quote", order=20, permission="jobs.see_billing")
def reminders(request: HttpRequest, revision: Revision) -> tuple[str, dict[str, Any]] | None:
    """Return the reminders of a quote that waits for an answer: gone, and to come."""
    if revision.state != "sent":
        return None
    watch, found = queries.reminders_of(revision, request.now)  # type: ignore[attr-defined]
    verb = "resume" if queries.is_paused(watch) else "pause"
    return reminders_part(request, found, verb, reverse(f"chasing:{verb}", args=[revision.pk]))


@panel(page="variation", order=20, permission="jobs.see_billing")
def variation_reminders(
    request: HttpRequest, variation: Variation
) -> tuple[str, dict[str, Any]] | None:
    """Return the same of a variation that waits for an answer."""
    if variation.state != "sent":
        return None
    now = request.now  # type: ignore[attr-defined]
    watch, found = queries.variation_reminders(variation, now)
    verb = "resume" if queries.is_paused(watch) else "pause"
    url = reverse(f"chasing:{verb}_variation", args=[variation.pk])
    return reminders_part(request, found, verb, url)


def reminders_part(
    request: HttpRequest, found: list[Reminder], verb: str, url: str
) -> tuple[str, dict[str, Any]]:
    """Return the reminders with the one button that there is: to stop them, or to go on."""
    may = request.user.has_perm("jobs.write_quote")
    return "quotes/chasing/panel.html", {
        "reminders": found, "url": url if may else "",
        "word": "Remind again" if verb == "resume" else "Stop reminding",
    }  # fmt: skip


@today_entry(permission="jobs.send_quote")
def prices_rose(user: Any, now: datetime) -> Iterator[TodayEntry]:
    """Yield the waiting quotes whose cost rose since they were sent; one query."""
    sees_cost = user.has_perm("jobs.see_margin")
    for watch in queries.risen(london_day(now)):
        revision = watch.revision
        assert revision.valid_until is not None  # noqa: S101 - by constraint
        more = f" by {firm.money(watch.rise)}" if sees_cost else ""
        yield TodayEntry(
            at_wall(revision.valid_until, EVENING),
            f"{revision.quote.job.title}: prices rose since quote {revision.quote} was sent",
            f"Our cost is up{more}; it holds until {firm.day_year(revision.valid_until)}.",
            revision.get_absolute_url(), "Price it again",
        )  # fmt: skip
