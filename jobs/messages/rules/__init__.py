"""What messages to customers say and must not say; no rows."""

from jobs.messages.rules.times import (
    MOST_HOURS,
    Details,
    Floor,
    check_car,
    check_still_says,
    check_still_says_times,
    check_times,
    earliest_return,
    floor_of,
    half_words,
    hours,
    old_days,
)
from jobs.messages.rules.wording import (
    DEFAULTS,
    PLACEHOLDERS,
    UNKNOWN,
    Words,
    check_says_it,
    check_wording,
    fill,
    refuse_gaps,
)

PREFIX = "customer:"


def occasion_of(uid: object) -> str:
    """Return the outbox's name of a message: one for each time that somebody pressed Send."""
    return f"{PREFIX}{uid}"


__all__ = [
    "DEFAULTS",
    "MOST_HOURS",
    "PLACEHOLDERS",
    "PREFIX",
    "UNKNOWN",
    "Details",
    "Floor",
    "Words",
    "check_car",
    "check_says_it",
    "check_still_says",
    "check_still_says_times",
    "check_times",
    "check_wording",
    "earliest_return",
    "fill",
    "floor_of",
    "half_words",
    "hours",
    "occasion_of",
    "old_days",
    "refuse_gaps",
]
