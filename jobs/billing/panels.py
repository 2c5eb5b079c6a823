"""Billing's part of the job page and of today."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, time
from typing import Any

from django.db.models import F
from django.http import HttpRequest

from jobs.billing.models import PaymentRequest
from jobs.kernel.clock import at_wall, london_day
from jobs.kernel.panels import TodayEntry, panel, today_entry


@panel("job", 45, "jobs.see_billing")
def job_requests(request: HttpRequest, job: Any) -> tuple[str, dict[str, Any]] | None:
    """What was asked for and what came in."""
    rows = list(PaymentRequest.objects.filter(job=job))
    return ("jobs/billing/job_panel.html", {"requests": rows}) if rows else None


@today_entry("jobs.record_payment")
def overdue(user: Any, now: datetime) -> Iterator[TodayEntry]:
    """Requests whose day has come and whose money has not."""
    rows = PaymentRequest.objects.filter(
        withdrawn_at=None, received__lt=F("amount"), due_on__lte=london_day(now)
    ).select_related("job")
    for row in rows:
        yield TodayEntry(
            at=at_wall(row.due_on, time(17, 0)),
            title=f"{row.get_kind_display().capitalize()} of £{row.amount:,.2f}: {row.job.title}",
            why=f"{row.reference}, {row.job.reference}. Look at the bank; ask if it has not come.",
            url=row.get_absolute_url(),
            button="Record the money",
            level="look",
            clock_note="due",
        )
