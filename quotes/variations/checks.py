"""A variation's message is looked at again just before it leaves: it may be over by then."""

from __future__ import annotations

from datetime import datetime

from jobs.kernel.registries import message_guard
from quotes.variations.queries import why_not_mail


@message_guard("variation:")
def variation_still_wanted(occasion: str, at: datetime) -> str:
    """Return why a variation's message must not go any more; '' if it may."""
    del at
    return why_not_mail(occasion)
