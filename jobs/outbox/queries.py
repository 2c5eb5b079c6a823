"""What can be said of a message at a moment."""

from __future__ import annotations

from datetime import datetime, timedelta

from jobs.outbox.enums import MessageState
from jobs.outbox.models import Message

# A worker that died while sending leaves its claim behind; after this long it counts as stuck.
STUCK_AFTER = timedelta(minutes=10)


def stuck(message: Message, at: datetime) -> bool:
    """Return whether a worker took the message and did not say what came of it."""
    claimed = message.claimed_at
    return (
        message.state == MessageState.SENDING and claimed is not None and claimed < at - STUCK_AFTER
    )


def may_go_again(message: Message, at: datetime) -> bool:
    """Return whether a person may send it again: it failed, or is stuck."""
    return message.state == MessageState.FAILED or stuck(message, at)
