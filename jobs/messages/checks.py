"""A message is looked at again just before it leaves, and its days are noted once it has left."""

from __future__ import annotations

from datetime import datetime

from jobs.kernel.registries import message_guard, message_sent
from jobs.messages.queries import why_not
from jobs.messages.rules import PREFIX
from jobs.messages.services import post_sent_message


@message_guard(PREFIX)
def still_true(occasion: str, at: datetime) -> str:
    """Return why a message must not go any more; '' if it may."""
    return why_not(occasion)


@message_sent(PREFIX)
def days_were_told(occasion: str, at: datetime) -> None:
    post_sent_message(occasion=occasion, at=at)
