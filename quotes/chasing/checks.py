"""A reminder is looked at again just before it leaves: an answer may have come in between."""

from __future__ import annotations

from datetime import datetime

from jobs.kernel.registries import message_guard
from quotes.chasing.queries import why_not
from quotes.chasing.rules import revision_in


@message_guard("chase:")
def still_wanted(occasion: str, at: datetime) -> str:
    """Return why a reminder must not go any more; '' if it may."""
    return why_not(revision_in(occasion), at)
