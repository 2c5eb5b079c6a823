"""How a place stands, in a word."""

from __future__ import annotations

from datetime import datetime, timedelta


def place_state(
    *,
    now: datetime,
    latest_at: datetime | None,
    latest_c: float | None,
    low: float | None,
    high: float | None,
    gap_hours: int,
    is_open: bool,
) -> tuple[str, str]:
    """Return (level, word) of a place: what waits for an answer, what is beyond, what is unknown.

    `low` and `high` are the tightest limits of what lies there; without any, nothing is asked.
    """
    if is_open:
        return "stop", "excursion open"
    if low is None and high is None:
        return "", "no limits here"
    if latest_at is None or latest_c is None:
        return "look", "no reading yet"
    if now - latest_at > timedelta(hours=gap_hours):
        return "look", "no fresh reading"
    if high is not None and latest_c > high:
        word = "above the limit"
    elif low is not None and latest_c < low:
        word = "below the limit"
    else:
        return "ready", "within limits"
    return "look", word
