"""Writing what jobs require, and what of it was issued.

Requirements are locked first, in pk order, then lots, in pk order; so does whoever issues.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from jobs.audit.services import post_event
from jobs.kernel.compiled import CompiledQuery
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction
from jobs.work.models import Job
from stock.allocation.models import Requirement, Reservation, StoodIn
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
    *, requirements: Sequence[Requirement], lot: Lot, quantity: int, at: datetime | None = None
) -> None:
    """Add (or with a minus take off) what was issued of a locked lot to a job's requirements.

    The requirements are locked too. What the lot stood in for is known from its record; it comes
    back first. Of the item itself, what comes back is taken off the last requirement first, since a
    movement names no colour group. With `at` they are closed: the job is laid and wants no more.
    """
    assert_in_transaction()
    by_pk = {row.pk: row for row in requirements}
    own = [row for row in requirements if row.item_id == lot.item_id]
    records = list(StoodIn.objects.filter(requirement_id__in=by_pk, lot=lot).order_by("pk"))
    served = [by_pk[record.requirement_id] for record in records]
    if quantity < 0:
        left = take_back(records, by_pk, -quantity)
        for row in reversed(own):
            part = min(left, row.issued)
            row.issued -= part
            left -= part
    else:
        left = quantity
        for row in [*own, *served]:
            part = min(left, max(row.quantity - row.issued, 0))
            send(row, part, lot, records)
            left -= part
        if left and (own or served):  # more than was asked for: it is the last one's
            send((own or served)[-1], left, lot, records)
    for row in {one.pk: one for one in [*own, *served]}.values():
        if at is not None and row.closed_at is None:
            row.closed_at = at
        row.save(update_fields=["issued", "closed_at"])
    StoodIn.objects.bulk_update(records, ["quantity"])


def take_back(records: Sequence[StoodIn], by_pk: Mapping[int, Requirement], quantity: int) -> int:
    """Take what came back off what a lot stood in for, the last first; return what is left."""
    left = quantity
    for record in reversed(records):
        part = min(left, record.quantity)
        record.quantity -= part
        by_pk[record.requirement_id].issued -= part
        left -= part
    return left


def send(row: Requirement, quantity: int, lot: Lot, records: Iterable[StoodIn]) -> None:
    """Count so much of a lot as issued for a requirement, also where the lot stands in for it."""
    row.issued += quantity
    for record in records:
        if record.requirement_id == row.pk and record.lot_id == lot.pk:
            record.quantity += quantity


def post_use(
    *,
    reservations: Sequence[Reservation],
    requirements: Sequence[Requirement],
    lots: dict[int, Lot],
) -> None:
    """Turn reservations into what was issued: requirements and lots are locked by the caller.

    Of a lot of another item it is recorded for which requirement it stood in.
    """
    assert_in_transaction()
    by_pk = {row.pk: row for row in requirements}
    for row in reservations:
        requirement = by_pk[row.requirement_id]
        requirement.issued += row.quantity
        requirement.save(update_fields=["issued"])
        lot = lots[row.lot_id]
        if lot.item_id != requirement.item_id:
            record, _ = StoodIn.objects.get_or_create(requirement=requirement, lot=lot)
            record.quantity += row.quantity
            record.save(update_fields=["quantity"])
        take_off(row, row.quantity, lot)
