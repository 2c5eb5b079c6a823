"""Saying that a variation's days need no change of the booking, and taking it back."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction

from jobs.audit.services import post_event
from jobs.kernel.errors import ServiceError
from quotes.variations import queries
from quotes.variations.models import Variation
from quotes.variations.services.drafts import lock_variation

SETTLED = ["days_settled_at", "days_settled_by", "days_settled_why"]


@transaction.atomic(durable=True)
def settle_days(*, variation_id: int, reason: str, by: Any, at: datetime) -> Variation:
    """Note that a variation's days need no change of the booking, and why; said twice, once kept.

    Refuses (ServiceError) without a reason, and where nothing waits: the booking was moved since.
    """
    variation = lock_variation(variation_id)
    if variation.days_settled_at is not None:
        return variation
    if not reason.strip():
        raise ServiceError("Say in a few words why no change is needed.", field="reason")
    if queries.due_of(variation) is None:
        raise ServiceError("The booking was changed since, or the work is over; nothing waits.")
    variation.days_settled_at, variation.days_settled_by = at, by
    variation.days_settled_why = reason.strip()[:300]
    variation.save(update_fields=SETTLED)
    post_event(
        verb="no change of days", subject=variation, by=by, at=at, reason=reason.strip()[:300],
        after={"days_added": variation.days_added},
    )  # fmt: skip
    return variation


@transaction.atomic(durable=True)
def reopen_days(*, variation_id: int, by: Any, at: datetime) -> Variation:
    """Take it back: the days wait again, unless the booking was moved meanwhile."""
    variation = lock_variation(variation_id)
    if variation.days_settled_at is None:
        return variation
    before = {"why": variation.days_settled_why}
    variation.days_settled_at, variation.days_settled_by = None, None
    variation.days_settled_why = ""
    variation.save(update_fields=SETTLED)
    post_event(verb="days wait again", subject=variation, by=by, at=at, before=before)
    return variation
