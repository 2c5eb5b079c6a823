"""The PDF's pages, on the page of a quote."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from jobs.kernel.panels import TodayEntry, panel, today_entry
from quotes.documents.queries import failed_of_sent, newest_ready
from quotes.quoting.models import Revision


@panel(page="quote", order=30, permission="jobs.see_billing")
def paper(request: HttpRequest, revision: Revision) -> tuple[str, dict[str, Any]]:
    """Return how many pages the PDF has, and the way to look at them."""
    del request
    row = newest_ready(revision)
    return "quotes/documents/panel.html", {
        "pages": row.pages if row else None,
        "undrawn": bool(row and row.pictures_error),
        "pages_url": reverse("documents:pages", args=[revision.pk]),
    }


@today_entry(permission="jobs.send_quote")
def not_drawn(user: Any, now: datetime) -> Iterator[TodayEntry]:
    """Yield sent quotes that never left, for their PDF could not be drawn; one query."""
    del user, now
    for row in failed_of_sent():
        revision = row.revision
        yield TodayEntry(
            row.finished_at,
            f"{revision.quote.job.title}: quote {revision.quote} has not gone to the customer",
            f"Its PDF could not be drawn: {row.error}",
            reverse("documents:progress", args=[row.uid]), "Draw it again", "stop",
        )  # fmt: skip
