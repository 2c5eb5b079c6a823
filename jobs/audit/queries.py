"""Reading the trail of one row."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Model

from jobs.audit.models import Event

SHOWN = 20
# How the commonest verbs read in a sentence; others are shown as they are, without underscores.
PAST = {
    "add": "added", "change": "changed", "archive": "put away", "restore": "brought back",
    "open": "opened", "remove": "removed", "erase": "personal data erased", "copy": "copied",
    "give_out_data": "personal data given out", "start": "started", "finish": "finished",
    "reopen": "opened again", "lose": "noted as lost", "cancel": "cancelled",
}  # fmt: skip


@dataclass(frozen=True)
class TrailEntry:
    """One line of a trail: when, what in words, by whom, which fields, why."""

    at: datetime
    words: str
    by: Any
    fields: str
    reason: str


def trail_of(subject: Model) -> list[TrailEntry]:
    """Return the latest events of a row, newest first: one query."""
    events = Event.objects.select_related("by").filter(
        subject_type=subject._meta.label_lower, subject_id=subject.pk
    )
    return [
        TrailEntry(
            event.at,
            PAST.get(event.verb, event.verb.replace("_", " ")),
            event.by,
            ", ".join(name.replace("_", " ") for name in event.before),
            event.reason,
        )
        for event in events[:SHOWN]
    ]
