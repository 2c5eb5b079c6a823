"""The bell of the cut-offs: look for shortages, owe reminders, hand over what is due."""

from __future__ import annotations

from celery import shared_task

from jobs.kernel.clock import now
from jobs.kernel.taskrun import recorded
from stock.ordering.services import hand_due_reminders, make_reminders, sweep_shortages


@shared_task(name="stock.ordering.sweep")
def sweep() -> None:
    """Store what jobs lack and remind the people who order; safe to repeat."""
    with recorded("stock.ordering.sweep") as say:
        at = now()
        found = sweep_shortages(at=at)
        made = make_reminders(at=at)
        sent = hand_due_reminders(at=at)
        say(
            f"{found.open} short, {found.new} of them new, {found.ended} ended; "
            f"{made} reminders made, {sent} sent"
        )
