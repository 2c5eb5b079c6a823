"""A reminder is looked at again just before it leaves: an answer may have come in between."""

from __future__ import annotations

from datetime import datetime

from jobs.kernel.registries import message_guard
from quotes.chasing.queries import why_not, why_not_variation
from quotes.chasing.rules import row_in


@message_guard("chase:")
def still_wanted(occasion: str, at: datetime) -> str:
    """Return why a reminder must not go any more; '' if it may."""
    return why_not(row_in(occasion), at)


@message_guard("chase-variation:")
def variation_still_wanted(occasion: str, at: datetime) -> str:
    """The same of a reminder of a variation."""
    return why_not_variation(row_in(occasion), at)
