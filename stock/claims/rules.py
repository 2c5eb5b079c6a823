"""When a claim is asked after, and what is left of it."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal

# How long they are given before they are asked after (common practice, no source).
ANSWER_DAYS = 14
CREDIT_DAYS = 30


def notify_level(notify_by: date, today: date) -> str:
    """Return how pressing it is to tell them: 'stop' from the eve of the last day on."""
    return "stop" if notify_by - today <= timedelta(days=1) else "look"


def left_words(expected: Decimal | None, received: Decimal) -> str:
    """Return how a credit stands against what was expected, in words."""
    if expected is None:
        return "nothing was named yet"
    left = expected - received
    if left > 0:
        return f"£{left:,} still to come"
    return "all of it came" if left == 0 else f"£{-left:,} more came than was expected"
