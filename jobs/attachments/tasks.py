"""Bells for attachments."""

from __future__ import annotations

from celery import shared_task

from jobs.attachments.services import sweep_orphans
from jobs.kernel.clock import now
from jobs.kernel.taskrun import recorded


@shared_task(name="jobs.attachments.sweep_orphans")
def sweep() -> None:
    """Delete files that no row names any more."""
    with recorded("jobs.attachments.sweep_orphans") as say:
        say(f"{sweep_orphans(at=now())} files deleted")
