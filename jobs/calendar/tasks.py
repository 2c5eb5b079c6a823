"""Bells for the calendar."""

from __future__ import annotations

from celery import shared_task

from jobs.calendar.services import sweep_findings
from jobs.kernel.clock import now
from jobs.kernel.taskrun import recorded


@shared_task(name="jobs.calendar.sweep_findings")
def sweep() -> None:
    """Check every booking from today on again: money comes in, stock comes and goes."""
    with recorded("jobs.calendar.sweep_findings") as say:
        say(f"{sweep_findings(at=now())} findings stand")
