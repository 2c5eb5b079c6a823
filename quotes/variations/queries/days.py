"""What of accepted variations the calendar has not followed yet."""

from __future__ import annotations

from collections.abc import Collection

from jobs.calendar.enums import Phase
from jobs.calendar.models import Booking, Slot
from jobs.work.enums import Stage
from jobs.work.models import Job
from quotes.variations import rules
from quotes.variations.enums import VariationState
from quotes.variations.models import Variation
from quotes.variations.rules import DaysDue, days_due

# While the work is still to be done or on the way.
AT_WORK = ("won", "booked", "on_site")
WORKED = tuple(phase for phase in Phase.values if phase != Phase.SNAG)
assert set(AT_WORK) <= set(Stage.values)  # noqa: S101 - a stage renamed elsewhere is found here


def booked_halves(job_ids: Collection[int]) -> dict[int, dict[str, list[str]]]:
    """Return job -> phase -> booked half-days, '2026-05-26 am', in order; one query."""
    found: dict[int, dict[str, list[str]]] = {}
    rows = (
        Slot.objects.filter(
            booking__job_id__in=job_ids, booking__cancelled_at=None, booking__phase__in=WORKED
        )
        .order_by("booking__job_id", "booking__phase", "day", "half")
        .values_list("booking__job_id", "booking__phase", "day", "half")
        .distinct()
    )
    for job_id, phase, day, half in rows:
        found.setdefault(job_id, {}).setdefault(phase, []).append(f"{day} {half}")
    return found


def days_to_see_to(job: Job | None = None) -> list[DaysDue]:
    """Return the accepted variations, of one job or of all, whose days wait; two queries."""
    rows = Variation.objects.filter(
        state=VariationState.ACCEPTED, days_settled_at=None, booked_then__isnull=False,
        revision__quote__job__stage__in=AT_WORK,
    ).exclude(days_added=0)  # fmt: skip
    if job is not None:
        rows = rows.filter(revision__quote__job=job)
    found = list(
        rows.select_related("revision__quote__job").defer("snapshot").order_by("closed_at", "pk")
    )
    now = booked_halves({row.revision.quote.job_id for row in found}) if found else {}
    each = (days_due(row, row.booked_then, now.get(row.revision.quote.job_id, {})) for row in found)
    return [due for due in each if due is not None]


def due_of(variation: Variation) -> DaysDue | None:
    """Return what waits of one variation, None where nothing does."""
    job = variation.revision.quote.job
    if variation.state != VariationState.ACCEPTED or job.stage not in AT_WORK:
        return None
    now = booked_halves([job.pk]).get(job.pk, {})
    return rules.days_due(variation, variation.booked_then, now)


def bookings_of(job: Job) -> list[Booking]:
    """Return the standing bookings of a job's work, the first first."""
    rows = Booking.objects.standing().filter(job=job, phase__in=WORKED)
    return list(rows.order_by("first_day", "pk"))
