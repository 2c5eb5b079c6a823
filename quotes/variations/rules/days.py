"""Days that a change adds or takes off, and the booking that should follow; no rows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from jobs.kernel.templatetags.firm import quantity

# Phase of a job -> its booked half-days, '2026-05-26 am', in order.
Halves = Mapping[str, Sequence[str]]


def days_in_words(label: str, days: int) -> str:
    """Return what an accepted variation does to the days on site, as our people read it."""
    if days > 0:
        return f"Variation {label} adds {quantity(days, 'day')}"
    return f"Variation {label} takes {quantity(-days, 'day')} off"


@dataclass(frozen=True)
class DaysDue:
    """An accepted variation whose days nobody has seen to: the booking stands as it was."""

    variation: Any
    booked: bool

    @property
    def words(self) -> str:
        """What is so, and what is to be done, in one sentence."""
        head = days_in_words(self.variation.label, self.variation.days_added)
        if self.booked:
            return f"{head}: move the booking, or say that no change is needed"
        return f"{head}: nothing is booked yet, so book the days with it"


def days_due(variation: Any, then: Halves | None, now: Halves) -> DaysDue | None:
    """Return what is to be seen to, None where nothing is.

    `then`: the half-days booked when it was accepted (None: from before that was kept). As soon as
    they are others, the booking was moved, extended, made or given up with the change known.
    """
    if not variation.days_added or then is None or variation.days_settled_at is not None:
        return None
    same = {phase: list(when) for phase, when in then.items()} == {
        phase: list(when) for phase, when in now.items()
    }
    return DaysDue(variation, booked=bool(now)) if same else None
