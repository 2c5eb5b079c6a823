"""Material as checks of bookings: what is not in the yard for a phase, and kits past their date."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any

from jobs.kernel.registries import Finding, booking_check
from stock.allocation.models import Reservation
from stock.allocation.queries import OpenNeed, open_needs

SHOWN = 3


@booking_check("material_missing", "stop")
def material_missing(bookings: Sequence[Any], at: datetime) -> Mapping[int, Sequence[Finding]]:
    """Say what a booked phase needs that is neither reserved nor on its site."""
    needs: dict[tuple[int, str], list[OpenNeed]] = {}
    for need in open_needs({booking.job_id for booking in bookings}):
        needs.setdefault((need.job.pk, need.phase), []).append(need)
    found: dict[int, list[Finding]] = {}
    for booking in bookings:
        short = needs.get((booking.job_id, booking.phase))
        if short:
            words = [packs_in_words(need) for need in short]
            more = f" and {len(words) - SHOWN} more" if len(words) > SHOWN else ""
            found[booking.pk] = [
                Finding(
                    f"Not reserved yet: {', '.join(words[:SHOWN])}{more}.",
                    "Reserve it, or order what the yard has not got.",
                    facts=", ".join(sorted(words)),
                )
            ]
    return found


def packs_in_words(need: OpenNeed) -> str:
    """Return what is short, as '12 bag of Moor gold 2–6 mm' in whole packs."""
    packs = -(-need.short // need.item.pack_quantity)
    plural = "" if packs == 1 else "s"
    return f"{packs} {need.item.pack_name}{plural} of {need.item.name}"


@booking_check("kit_past_date", "stop")
def kit_past_date(bookings: Sequence[Any], at: datetime) -> Mapping[int, Sequence[Finding]]:
    """Say which reserved lots would be past their date, with its margin, on the last booked day."""
    rows = Reservation.objects.filter(
        requirement__job_id__in={booking.job_id for booking in bookings}, lot__expiry__isnull=False
    ).select_related("lot__item", "requirement")
    held: dict[tuple[int, str], list[Reservation]] = {}
    for row in rows:
        held.setdefault((row.requirement.job_id, row.requirement.phase), []).append(row)
    found: dict[int, list[Finding]] = {}
    for booking in bookings:
        for row in held.get((booking.job_id, booking.phase), []):
            lot = row.lot
            margin = timedelta(days=lot.item.expiry_margin_days)
            if booking.last_day and lot.expiry and lot.expiry < booking.last_day + margin:
                found.setdefault(booking.pk, []).append(
                    Finding(
                        f"{lot.code}, {lot.item.name}, is to be used by {lot.expiry:%-d %b %Y}: "
                        "too early for this day.",
                        "Release it and reserve again for the new day, or lay earlier.",
                    )
                )
    return found
