"""Writing what jobs require, and what of it was issued.

Requirements are locked first, in pk order, then lots, in pk order; so does whoever issues.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from jobs.audit.services import post_event
from jobs.kernel.compiled import CompiledQuery
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction
from jobs.work.models import Job
from stock.allocation.models import Requirement, Reservation
from stock.allocation.queries import substitutes_of
from stock.allocation.querysets import RequirementQuerySet
from stock.ledger.models import Lot
from stock.ledger.services import lock_lots


@dataclass(frozen=True)
class NeedRow:
    """So many base units of an item, for a colour group and a phase of a job."""

    item_id: int
    quantity: int
    colour_group: str = ""
    phase: str = "lay"


def post_requirements(
    *, job: Job, rows: Sequence[NeedRow], at: datetime, by: Any = None
) -> list[Requirement]:
    """Make these rows all that a job requires, in the caller's transaction.

    Rows of the same item, colour group and phase are added. A requirement that is no longer among
    them is closed, and what was reserved beyond the new quantity is free again.
    """
    assert_in_transaction()
    wanted: dict[tuple[int, str, str], int] = {}
    for row in rows:
        if row.quantity < 0:
            raise ServiceError("A job cannot need less than nothing.", field="quantity")
        spot = (row.item_id, row.colour_group, row.phase)
        wanted[spot] = wanted.get(spot, 0) + row.quantity
    standing = {
        (row.item_id, row.colour_group, row.phase): row for row in lock_requirements(job.pk)
    }
    kept = []
    for (item_id, group, phase), quantity in wanted.items():
        found = standing.pop((item_id, group, phase), None) or Requirement(
            job=job, item_id=item_id, colour_group=group, phase=phase, created_at=at
        )
        found.quantity, found.closed_at = quantity, None
        found.full_clean(validate_unique=False, validate_constraints=False)
        found.save()
        kept.append(found)
    for gone in standing.values():
        if gone.closed_at is None:
            gone.closed_at = at
            gone.save(update_fields=["closed_at"])
    free_surplus([*kept, *standing.values()])
    post_event(
        verb="stock.require", subject=job, by=by, at=at,
        after={f"item {item} {group} {phase}": n for (item, group, phase), n in wanted.items()},
    )  # fmt: skip
    return kept


def lock_requirements(job_id: int, *, lock: bool = True) -> list[Requirement]:
    """Lock a job's requirements in pk order and read them afresh."""
    return (LOCKED if lock else UNLOCKED).rows(job_id)


def unlocked(job_id: int) -> RequirementQuerySet:
    return Requirement.objects.filter(job_id=job_id).select_related("item", "job").order_by("pk")


UNLOCKED = CompiledQuery(unlocked)
LOCKED = CompiledQuery(lambda job: unlocked(job).select_for_update(no_key=True, of=("self",)))


def free_surplus(requirements: Iterable[Requirement]) -> None:
    """Give back what is reserved beyond what locked requirements want, the last made first."""
    wanted = {
        row.pk: 0 if row.closed_at else max(row.quantity - row.issued, 0) for row in requirements
    }
    held = list(Reservation.objects.filter(requirement_id__in=wanted).order_by("pk"))
    lots = lock_lots({row.lot_id for row in held})
    for row in held:
        keep = min(row.quantity, wanted[row.requirement_id])
        wanted[row.requirement_id] -= keep
        take_off(row, row.quantity - keep, lots[row.lot_id])


def take_off(reservation: Reservation, quantity: int, lot: Lot) -> None:
    """Lower a reservation and its locked lot's sum; at nothing it is deleted."""
    if quantity <= 0:
        return
    lot.reserved -= quantity
    lot.save(update_fields=["reserved"])
    reservation.quantity -= quantity
    if reservation.quantity > 0:
        reservation.save(update_fields=["quantity"])
    else:
        reservation.delete()


def post_issued(
    *, requirements: Sequence[Requirement], item_id: int, quantity: int, at: datetime | None = None
) -> None:
    """Add (or with a minus take off) what was issued of an item to a job's locked requirements.

    What comes back is taken off the last requirement first, since a movement names no colour
    group. With `at` the item's requirements are closed: the job is laid and wants no more.
    """
    assert_in_transaction()
    rows = [row for row in requirements if row.item_id == item_id]
    if not rows:  # it stands in for another item
        served = substitutes_of({row.item_id for row in requirements})
        rows = [row for row in requirements if item_id in served.get(row.item_id, ())]
    left = quantity
    for row in rows if quantity > 0 else reversed(rows):
        if quantity > 0:
            part = min(left, max(row.quantity - row.issued, 0))
        else:
            part = -min(-left, row.issued)
        row.issued += part
        left -= part
    if rows and left > 0:  # more than was asked for: it is the last one's
        rows[-1].issued += left
    for row in rows:
        if at is not None and row.closed_at is None:
            row.closed_at = at
        row.save(update_fields=["issued", "closed_at"])


def post_use(
    *,
    reservations: Sequence[Reservation],
    requirements: Sequence[Requirement],
    lots: dict[int, Lot],
) -> None:
    """Turn reservations into what was issued: requirements and lots are locked by the caller."""
    assert_in_transaction()
    by_pk = {row.pk: row for row in requirements}
    for row in reservations:
        requirement = by_pk[row.requirement_id]
        requirement.issued += row.quantity
        requirement.save(update_fields=["issued"])
        take_off(row, row.quantity, lots[row.lot_id])
