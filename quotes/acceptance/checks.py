"""The time to cancel as a check of bookings; a quote's message is looked at before it leaves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from jobs.kernel.registries import Finding, booking_check, message_guard
from jobs.kernel.templatetags.firm import day_year
from quotes.acceptance.queries import may_cancel_until, why_not_mail


@message_guard("quote:")
def quote_still_wanted(occasion: str, at: datetime) -> str:
    """Return why a quote's message must not go any more; '' if it may."""
    del at
    return why_not_mail(occasion)


@booking_check("may_cancel", "look")
def may_cancel(bookings: Sequence[Any], at: datetime) -> Mapping[int, Sequence[Finding]]:
    """Say which bookings begin while their customer may cancel and has not asked for it; a query.

    Consumer Contracts Regulations 2013, regulation 36 (memory): work begins within the period only
    at the consumer's express request. Ask somebody who knows the law where it matters.
    """
    del at
    until = may_cancel_until({booking.job_id for booking in bookings})
    return {
        booking.pk: [
            Finding(
                f"The customer may cancel until {day_year(last)} and has not asked us to begin "
                "before.",
                "Book it after that day, or have the request to begin early signed.",
            )
        ]
        for booking in bookings
        if (last := until.get(booking.job_id)) is not None
        and booking.first_day is not None
        and booking.first_day <= last
    }
