"""What was written to people about a job, on the job's page."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from jobs.kernel.panels import TodayEntry, panel, today_entry
from jobs.outbox.enums import MessageState
from jobs.outbox.queries import in_doubt, may_go_again, messages_about
from jobs.outbox.tables import level_of


@panel("job", 85, "jobs.see_messages")
def job_messages(request: HttpRequest, job: Any) -> tuple[str, dict[str, Any]] | None:
    """Messages about this job: one query."""
    now: datetime = request.now  # type: ignore[attr-defined]
    found = [
        (message, level_of(message), may_go_again(message, now)) for message in messages_about(job)
    ]
    return ("jobs/outbox/panel.html", {"messages_about": found}) if found else None


@today_entry("jobs.see_messages")
def messages_in_doubt(user: Any, now: datetime) -> Iterable[TodayEntry]:
    """Messages that failed, or that may or may not have left: one query."""
    for message in in_doubt(now):
        failed = message.state == MessageState.FAILED
        yield TodayEntry(
            at=None,
            title=f"{message.subject}: {'not sent' if failed else 'perhaps not sent'}",
            why=f"To {message.to}. {message.last_error}".strip(),
            url=reverse("outbox:detail", args=[message.pk]),
            button="Look at the message",
            level="stop" if failed else "look",
        )
