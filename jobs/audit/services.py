"""Writing audit events: always inside the transaction of the write they tell of."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db.models import Model

from jobs.audit.models import Event
from jobs.kernel.compiled import insert_row
from jobs.kernel.posting import assert_in_transaction


def post_event(
    *,
    verb: str,
    subject: Model,
    by: Any,
    at: datetime,
    before: Mapping[str, object] | None = None,
    after: Mapping[str, object] | None = None,
    reason: str = "",
) -> Event:
    """Record that `by` (None: the program itself) did `verb` to `subject`."""
    assert_in_transaction()
    event = Event(
        at=at,
        by=by,
        verb=verb,
        subject_type=subject._meta.label_lower,
        subject_id=subject.pk,
        # Rows of people name themselves by number here: events cannot be erased.
        subject_text=str(getattr(subject, "audit_name", subject))[:200],
        before={name: plain(value) for name, value in (before or {}).items()},
        after={name: plain(value) for name, value in (after or {}).items()},
        reason=reason[:300],
    )
    insert_row(event)
    return event


def plain(value: object) -> object:
    """Return a value as JSON can keep it."""
    if value is None or isinstance(value, bool | int | str):
        return value
    if isinstance(value, Model):
        return value.pk
    return str(value)


def changes(
    instance: Model, values: Mapping[str, object]
) -> tuple[dict[str, object], dict[str, object]]:
    """Return (before, after) of the fields of `instance` that `values` would change."""
    before = {
        name: getattr(instance, name) for name in values if getattr(instance, name) != values[name]
    }
    return before, {name: values[name] for name in before}
