"""What jobs still need and on which day, what is reserved, and what will die unused."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.db.models import Q

from jobs.calendar.queries import phase_days
from jobs.work.models import Job
from stock.allocation.models import Requirement, Reservation
from stock.allocation.querysets import WANTING
from stock.allocation.rules import DAYS_UNTIL_BOOKED
from stock.catalogue.models import Item
from stock.ledger.models import Lot


@dataclass(frozen=True)
class OpenNeed:
    """What one job still needs of one item for one colour group and phase.

    `short` is quantity less issued less reserved, in base units. `first_day` and `last_day` are
    the booked days of the phase, None while it is not booked.
    """

    requirement: Requirement
    job: Job
    item: Item
    colour_group: str
    phase: str
    quantity: int
    issued: int
    reserved: int
    short: int
    first_day: date | None
    last_day: date | None


def open_needs(job_ids: Collection[int] | None = None) -> list[OpenNeed]:
    """Return what jobs still lack: not issued and not reserved; of all won jobs, or of these.

    Two queries for any number of jobs.
    """
    rows = Requirement.objects.still_wanted().for_needs().filter(Q(short__gt=0))
    if job_ids is not None:
        rows = rows.filter(job_id__in=job_ids)
    return as_needs(rows.order_by("job_id", "phase", "item_id", "colour_group"))


def job_needs(job_id: int) -> list[OpenNeed]:
    """Return all that a job needs, met or not; two queries."""
    rows = Requirement.objects.for_needs().filter(job_id=job_id)
    return as_needs(rows.order_by("colour_group", "item__kind", "item__name", "phase"))


def as_needs(rows: Iterable[Requirement]) -> list[OpenNeed]:
    """Return requirements with the booked days of their phases."""
    found = list(rows)
    days = phase_days({row.job_id for row in found}) if found else {}
    needs = []
    for row in found:
        annotated: Any = row
        first, last = days.get(row.job_id, {}).get(row.phase, (None, None))
        needs.append(
            OpenNeed(
                row, row.job, row.item, row.colour_group, row.phase, row.quantity, row.issued,
                annotated.reserved, max(annotated.short, 0), first, last,
            )
        )  # fmt: skip
    return needs


def needs_of(
    rows: Iterable[Requirement], kept: Mapping[int, Sequence[Reservation]]
) -> list[OpenNeed]:
    """Return what locked requirements lack, less their reservations `kept`; one query.

    As `open_needs` does, but from the rows in hand, without adding anything up in the database.
    """
    found = []
    for row in rows:
        annotated: Any = row
        annotated.reserved = sum(one.quantity for one in kept.get(row.pk, ()))
        annotated.short = row.quantity - row.issued - annotated.reserved
        if annotated.short > 0 and row.closed_at is None and row.job.stage in WANTING:
            found.append(row)
    return as_needs(found)


def lay_day_of(job_id: int) -> date | None:
    """Return the last day on which the job is booked to be laid; None while it is not booked."""
    days = phase_days([job_id]).get(job_id, {}).get("lay")
    return days[1] if days else None


def use_day(need: OpenNeed, today: date) -> date:
    """Return the day by which the material must be good: the phase's last, or a guess ahead."""
    return need.last_day or today + timedelta(days=DAYS_UNTIL_BOOKED)


def reservations_of(job_id: int) -> list[Reservation]:
    """Return a job's reservations with lot and item, by item and use-by."""
    rows = Reservation.objects.of_job(job_id).order_by("lot__item__name", "lot__expiry", "lot_id")
    return list(rows)


@dataclass(frozen=True)
class Dying:
    """Kits of a lot that will be past their date before anything uses them."""

    lot: Lot
    quantity: int
    days: int


def dying(today: date, within: int = 45) -> list[Dying]:
    """Return what expires within so many days and no job holds, the soonest first; one query."""
    rows = (
        Lot.objects.with_free()
        .select_related("item")
        .filter(Q(free_now__gt=0), expiry__lte=today + timedelta(days=within))
        .order_by("expiry", "pk")
    )
    return [Dying(lot, lot.free, (lot.expiry - today).days) for lot in rows if lot.expiry]
