"""The time to cancel a change as a check of bookings; its message looked at before it leaves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from jobs.kernel.registries import Finding, booking_check, message_guard
from jobs.kernel.templatetags.firm import day_year
from quotes.variations.queries import may_cancel_changes, why_not_mail


@booking_check("may_cancel_change", "look")
def may_cancel_change(bookings: Sequence[Any], at: datetime) -> Mapping[int, Sequence[Finding]]:
    """Say which bookings begin while their customer may cancel a change of the job; one query.

    As the check of the quote itself: Consumer Contracts Regulations 2013, regulation 36 (memory).
    Work that was over before the change was signed is not meant.
    """
    del at
    changes = may_cancel_changes({booking.job_id for booking in bookings})
    return {
        booking.pk: [
            Finding(
                f"The customer may cancel variation {change.label} until {day_year(change.last)} "
                "and has not asked us to begin it before.",
                "Begin what it changes after that day, or have the request to begin early signed.",
            )
            for change in changes.get(booking.job_id, ())
            if booking.first_day <= change.last and booking.last_day >= change.signed
        ]
        for booking in bookings
        if booking.first_day is not None and booking.last_day is not None
    }


@message_guard("variation:")
def variation_still_wanted(occasion: str, at: datetime) -> str:
    """Return why a variation's message must not go any more; '' if it may."""
    del at
    return why_not_mail(occasion)
