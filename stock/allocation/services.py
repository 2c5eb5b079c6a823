"""Writing requirements and reservations.

Requirements are locked first, in pk order, then lots, in pk order; so does whoever issues.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import transaction

from jobs.audit.services import post_event
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction
from jobs.work.models import Job
from stock.allocation import queries
from stock.allocation.models import Requirement, Reservation
from stock.allocation.rules import Plan, Unmet, allocate
from stock.ledger.models import Lot
from stock.ledger.services import lock_lots


@dataclass(frozen=True)
class NeedRow:
    """So many base units of an item, for a colour group and a phase of a job."""

    item_id: int
    quantity: int
    colour_group: str = ""
    phase: str = "lay"


@dataclass(frozen=True)
class AllocationResult:
    """What was reserved for a job, and what could not be met and why."""

    job: Job
    made: list[Reservation] = field(default_factory=list)
    plan: Plan = field(default_factory=Plan)

    @property
    def unmet(self) -> list[Unmet]:
        """Needs that are still open, each with the rule that binds and what would free it."""
        return self.plan.unmet

    @property
    def is_met(self) -> bool:
        """Whether nothing is short."""
        return not self.plan.unmet


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
    rows = Requirement.objects.filter(job_id=job_id).order_by("pk")
    return list(rows.select_for_update(no_key=True) if lock else rows)


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


# -- reserving -----------------------------------------------------------------------------------


@transaction.atomic(durable=True)
def reserve_job(*, job_id: int, by: Any, at: datetime, lock: bool = True) -> AllocationResult:
    """Reserve what a job still needs, as far as the rules allow, and say why and why not.

    First expired first, in date on the last day of use with the item's margin, released lots only,
    the nearest first; run-matched stone all from one run for each colour group or none of it. What
    is reserved already stays. `lock=False` is for the race tests' control only.
    """
    job = Job.objects.filter(pk=job_id).first()
    if job is None:
        raise ServiceError("This job is not in the book.", code="job")
    lock_requirements(job_id, lock=lock)
    needs = queries.open_needs([job_id])
    items = {need.item.pk for need in needs}
    candidates = set(
        Lot.objects.filter(item_id__in=items, on_hand__gt=0).values_list("pk", flat=True)
    )
    lots = lock_lots(candidates, lock=lock)
    runs = queries.runs_in_hand(job_id)
    today = london_day(at)
    plan = allocate(
        [queries.rule_need(need, today, runs) for need in needs], queries.lot_views(items, lots)
    )
    made = keep_picks(plan, lots, by=by, at=at)
    if made:
        post_event(
            verb="stock.reserve", subject=job, by=by, at=at,
            after={lots[pick.lot_id].code: pick.quantity for pick in plan.picks},
        )  # fmt: skip
    return AllocationResult(job, made, plan)


def keep_picks(plan: Plan, lots: dict[int, Lot], *, by: Any, at: datetime) -> list[Reservation]:
    """Write a plan's picks as reservations against the locked lots."""
    made = []
    for pick in plan.picks:
        lot = lots[pick.lot_id]
        lot.reserved += pick.quantity
        lot.save(update_fields=["reserved"])
        row = Reservation.objects.filter(requirement_id=pick.need_id, lot=lot).first()
        if row is None:
            row = Reservation(requirement_id=pick.need_id, lot=lot, quantity=0, made_at=at)
            row.made_by = by
        row.quantity += pick.quantity
        row.save()
        made.append(row)
    return made


@transaction.atomic(durable=True)
def release_reservation(
    *, reservation_id: int, by: Any, at: datetime, reason: str = ""
) -> Requirement:
    """Give one reservation back to the yard; one that is gone already is no error."""
    row = Reservation.objects.filter(pk=reservation_id).select_related("requirement__job").first()
    if row is None:
        raise ServiceError("This reservation is gone already.", code="gone")
    lock_requirements(row.requirement.job_id)
    post_release([reservation_id], by=by, at=at, reason=reason)
    return row.requirement


@transaction.atomic(durable=True)
def release_job(*, job_id: int, by: Any, at: datetime, reason: str = "") -> int:
    """Give all that is reserved for a job back to the yard; return how many reservations."""
    lock_requirements(job_id)
    ids = Reservation.objects.filter(requirement__job_id=job_id).values_list("pk", flat=True)
    return post_release(list(ids), by=by, at=at, reason=reason)


def post_release(reservation_ids: Sequence[int], *, by: Any, at: datetime, reason: str = "") -> int:
    """Free reservations in the caller's transaction, which has locked their requirements."""
    assert_in_transaction()
    rows = list(
        Reservation.objects.filter(pk__in=reservation_ids)
        .select_related("requirement__job")
        .order_by("pk")
    )
    lots = lock_lots({row.lot_id for row in rows})
    for row in rows:
        lot = lots[row.lot_id]
        post_event(
            verb="stock.release_reservation", subject=row.requirement.job, by=by, at=at,
            before={lot.code: row.quantity}, reason=reason,
        )  # fmt: skip
        take_off(row, row.quantity, lot)
    return len(rows)


def post_free(*, lot: Lot, quantity: int, by: Any, at: datetime, reason: str) -> int:
    """Free so much of a locked lot's reservations, the latest made first; return what was freed.

    For stock that is not there after all, as a count or waste finds.
    """
    assert_in_transaction()
    freed = 0
    rows = Reservation.objects.filter(lot=lot).select_related("requirement__job").order_by("-pk")
    for row in rows:
        part = min(row.quantity, quantity - freed)
        if part <= 0:
            break
        freed += part
        post_event(
            verb="stock.release_reservation", subject=row.requirement.job, by=by, at=at,
            before={lot.code: part}, reason=reason,
        )  # fmt: skip
        take_off(row, part, lot)
    return freed


@transaction.atomic(durable=True)
def pin_reservation(*, reservation_id: int, pinned: bool, by: Any, at: datetime) -> Reservation:
    """Pin a reservation, so that no later proposal moves it, or let it loose."""
    row = Reservation.objects.select_for_update(no_key=True).filter(pk=reservation_id).first()
    if row is None:
        raise ServiceError("This reservation is gone already.", code="gone")
    if row.pinned != pinned:
        row.pinned = pinned
        row.save(update_fields=["pinned"])
        post_event(
            verb="stock.pin" if pinned else "stock.unpin", subject=row, by=by, at=at,
            after={"pinned": pinned},
        )  # fmt: skip
    return row


def post_issued(
    *, requirements: Sequence[Requirement], item_id: int, quantity: int, at: datetime | None = None
) -> None:
    """Add (or with a minus take off) what was issued of an item to a job's locked requirements.

    What comes back is taken off the last requirement first, since a movement names no colour
    group. With `at` the item's requirements are closed: the job is laid and wants no more.
    """
    assert_in_transaction()
    rows = [row for row in requirements if row.item_id == item_id]
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
