"""Bells for mailing quotes."""

from __future__ import annotations

from celery import shared_task

from jobs.kernel.clock import now
from jobs.kernel.taskrun import recorded
from quotes.acceptance import queries, services


@shared_task(name="quotes.acceptance.deliver")
def deliver(revision_id: int) -> None:
    """Mail one sent quote, unless it was mailed or is not ready."""
    services.deliver_quote(revision_id=revision_id, at=now())


@shared_task(name="quotes.acceptance.sweep")
def sweep() -> None:
    """Find the sent quotes whose bell was lost."""
    with recorded("quotes.acceptance.sweep") as say:
        made = [services.deliver_quote(revision_id=pk, at=now()) for pk in queries.to_deliver()]
        say(f"{sum(link is not None for link in made)} mailed")
