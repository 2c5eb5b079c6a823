"""How long money has been due, and when it is due."""

from __future__ import annotations

from datetime import date

from jobs.billing.enums import Age

# Days late up to which an age counts; the last is for all beyond.
AGES = ((0, Age.NOT_DUE), (30, Age.TO_30), (60, Age.TO_60), (90, Age.TO_90))


def age_of(due_on: date, on: date) -> Age:
    """Return how long an amount due on `due_on` has been due on the day `on`."""
    late = (on - due_on).days
    return next((age for most, age in AGES if late <= most), Age.OVER_90)


def days_of(age: str) -> tuple[int | None, int | None]:
    """Return the least and the most days late of an age; None where it has no end."""
    before: int | None = None
    for most, known in AGES:
        if known == age:
            return before, most
        before = most + 1
    return before, None
