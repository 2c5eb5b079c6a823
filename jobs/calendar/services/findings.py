"""Running the registered checks and keeping what they find as rows; boards read the rows."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from jobs.audit.services import post_event
from jobs.calendar.models import Booking, BookingFinding
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction, digest_of
from jobs.kernel.registries import BOOKING_CHECKS


def post_findings(bookings: Sequence[Booking], *, at: datetime) -> list[BookingFinding]:
    """Replace the findings of these bookings by what the checks say now; returns what stands.

    A finding whose facts are the same keeps its row and with it its override; when the facts
    change, the override is gone and the owner is asked again.
    """
    assert_in_transaction()
    wanted: dict[tuple[int, str, str], BookingFinding] = {}
    for check in BOOKING_CHECKS.values():
        for booking_id, findings in check.run(bookings, at).items():
            for finding in findings:
                facts = digest_of({"facts": finding.facts or finding.sentence})
                row = BookingFinding(
                    booking_id=booking_id,
                    code=check.code,
                    level=check.level,
                    sentence=finding.sentence[:300],
                    remedy=finding.remedy[:300],
                    facts=facts,
                    at=at,
                )
                wanted[booking_id, check.code, facts] = row
    standing = {
        (row.booking_id, row.code, row.facts): row
        for row in BookingFinding.objects.filter(booking__in=bookings)
    }
    gone = [row.pk for key, row in standing.items() if key not in wanted]
    BookingFinding.objects.filter(pk__in=gone).delete()
    new = [row for key, row in wanted.items() if key not in standing]
    BookingFinding.objects.bulk_create(new)
    return [row for key, row in standing.items() if key in wanted] + new


@transaction.atomic(durable=True)
def override_finding(*, finding_id: int, reason: str, by: Any, at: datetime) -> BookingFinding:
    """The owner books in spite of a finding, and says why; it stands until its facts change."""
    finding = (
        BookingFinding.objects.select_for_update(no_key=True, of=("self",))
        .select_related("booking")
        .get(pk=finding_id)
    )
    if not reason.strip():
        raise ServiceError("Choose why it may go ahead all the same.", field="reason")
    if finding.overridden_at is None:
        finding.overridden_by, finding.overridden_at = by, at
        finding.override_reason = reason[:200]
        finding.save(update_fields=["overridden_by", "overridden_at", "override_reason"])
        post_event(
            verb="override_check", subject=finding.booking, by=by, at=at,
            after={"finding": finding.sentence}, reason=reason,
        )  # fmt: skip
    return finding


@transaction.atomic(durable=True)
def sweep_findings(*, at: datetime) -> int:
    """Check every booking from today on again; returns how many findings stand."""
    bookings = list(
        Booking.objects.filter(cancelled_at=None, last_day__gte=london_day(at))
        .select_related("job")
        .order_by("pk")
    )
    return len(post_findings(bookings, at=at))
