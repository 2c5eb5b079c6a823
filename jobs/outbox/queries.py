"""What can be said of a message at a moment."""

from __future__ import annotations

from datetime import datetime, timedelta

from django.conf import settings
from django.db.models import Model, Q

from jobs.outbox.enums import Audience, Channel, MessageState
from jobs.outbox.models import Message

# A worker that died while sending leaves its claim behind; after this long it counts as stuck.
STUCK_AFTER = timedelta(minutes=10)
SHOWN = 20


def texts_are_on() -> bool:
    """Return whether a text gateway is named in the settings."""
    return bool(settings.TEXT_GATEWAY)


def stuck(message: Message, at: datetime) -> bool:
    """Return whether a worker took the message and did not say what came of it."""
    claimed = message.claimed_at
    return (
        message.state == MessageState.SENDING and claimed is not None and claimed < at - STUCK_AFTER
    )


def may_go_again(message: Message, at: datetime) -> bool:
    """Return whether a person may send it again: it failed, was kept back, or is stuck."""
    ready = message.state in {MessageState.FAILED, MessageState.DROPPED} or stuck(message, at)
    # An erased message has nobody to go to.
    return ready and bool(message.to)


def may_be_dropped(message: Message, at: datetime) -> bool:
    """Return whether a person may decide that it does not go: it waits, failed, or is stuck."""
    waits = message.state in {MessageState.DUE, MessageState.FAILED}
    return waits or stuck(message, at)


def messages_about(subject: Model) -> list[Message]:
    """Return the latest messages about a row, newest first: one query."""
    rows = Message.objects.filter(about_type=subject._meta.label_lower, about_id=subject.pk)
    return list(rows[:SHOWN])


def in_doubt(at: datetime) -> list[Message]:
    """Return what a person must decide on: failed, or stuck and not ours to repeat: one query."""
    stuck_ones = Q(state=MessageState.SENDING, claimed_at__lt=at - STUCK_AFTER) & ~Q(
        audience=Audience.STAFF, channel=Channel.MAIL
    )
    return list(Message.objects.filter(Q(state=MessageState.FAILED) | stuck_ones)[:SHOWN])
