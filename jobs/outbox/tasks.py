"""Bells for the outbox."""

from __future__ import annotations

from celery import shared_task

from jobs.kernel.clock import now
from jobs.kernel.taskrun import recorded
from jobs.outbox.services import send_message, sweep_messages


@shared_task(name="jobs.outbox.send")
def send(message_id: int) -> None:
    """Send one message, unless another worker has it."""
    send_message(message_id=message_id, at=now())


@shared_task(name="jobs.outbox.sweep")
def sweep() -> None:
    """Find the messages whose bell was lost."""
    with recorded("jobs.outbox.sweep") as say:
        say(f"{sweep_messages(at=now())} sent")
