"""The deposit as a check of bookings."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any

from jobs.billing.enums import RequestKind
from jobs.billing.models import PaymentRequest
from jobs.kernel.registries import Finding, booking_check


@booking_check("deposit_open", "stop")
def deposit_open(bookings: Sequence[Any], at: datetime) -> Mapping[int, Sequence[Finding]]:
    """Say which bookings are of jobs whose deposit has not come in full."""
    standing = PaymentRequest.objects.filter(
        job_id__in={booking.job_id for booking in bookings},
        kind=RequestKind.DEPOSIT,
        withdrawn_at=None,
    )
    still_open = {row.job_id: row for row in standing if not row.is_settled}
    return {
        booking.pk: [
            Finding(
                f"The deposit {request.reference} of £{request.amount:,.2f} is open: "
                f"£{request.amount - request.received:,.2f} has not come in.",
                "Ask for it, or record it as received.",
            )
        ]
        for booking in bookings
        if (request := still_open.get(booking.job_id)) is not None
    }
