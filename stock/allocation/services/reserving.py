"""Reserving lots for one job, giving them back, pinning them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from django.db import transaction

from jobs.audit.services import post_event
from jobs.kernel.clock import london_day
from jobs.kernel.compiled import CompiledQuery, insert_row, update_row
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction
from jobs.work.models import Job
from stock.allocation import queries
from stock.allocation.models import Requirement, Reservation
from stock.allocation.rules import Plan, Unmet
from stock.allocation.services.requirements import lock_requirements, take_off
from stock.ledger.models import Lot
from stock.ledger.querysets import LotQuerySet
from stock.ledger.services import lock_lots


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


@transaction.atomic(durable=True)
def reserve_job(*, job_id: int, by: Any, at: datetime, lock: bool = True) -> AllocationResult:
    """Reserve what a job still needs, as far as the rules allow, and say why and why not.

    First expired first, in date on the last day of use with the item's margin, released lots only,
    the nearest first; run-matched stone all from one run for each colour group or none of it. What
    is reserved already stays. `lock=False` is for the race tests' control only.
    """
    requirements = lock_requirements(job_id, lock=lock)
    items = {row.item_id for row in requirements if row.quantity > row.issued}
    substitutes = queries.substitutes_of(items)
    lots = lock_lots_of(queries.items_with_substitutes(items, substitutes), lock=lock)
    # Read after the lots are locked: a count may free what is reserved of them.
    there = queries.reservations_by_need([row.pk for row in requirements])
    needs = queries.needs_of(requirements, there)
    if not needs:
        return AllocationResult(find_job(job_id))
    job = needs[0].job
    plan = queries.job_plan(needs, london_day(at), lots, substitutes)
    made = keep_picks(plan, lots, there, by=by, at=at)
    if made:
        post_event(
            verb="stock.reserve", subject=job, by=by, at=at,
            after={lots[pick.lot_id].code: pick.quantity for pick in plan.picks},
        )  # fmt: skip
    return AllocationResult(job, made, plan)


def lock_lots_of(item_ids: set[int], *, lock: bool = True) -> dict[int, Lot]:
    """Lock what there is of some items in pk order; one query, and the rows are read afresh."""
    rows = (LOCKED_LOTS if lock else UNLOCKED_LOTS).rows(sorted(item_ids))
    return {lot.pk: lot for lot in rows}


def unlocked_lots(item_ids: Sequence[int]) -> LotQuerySet:
    rows = Lot.objects.filter(item_id__in=item_ids, on_hand__gt=0).select_related("item")
    return rows.order_by("pk")


UNLOCKED_LOTS = CompiledQuery(unlocked_lots)
LOCKED_LOTS = CompiledQuery(
    lambda items: unlocked_lots(items).select_for_update(of=("self",), no_key=True)
)


def find_job(job_id: int) -> Job:
    """Return the job, or refuse with a sentence."""
    job: Job | None = Job.objects.filter(pk=job_id).first()
    if job is None:
        raise ServiceError("This job is not in the book.", code="job")
    return job


def keep_picks(
    plan: Plan,
    lots: dict[int, Lot],
    kept: Mapping[int, Sequence[Reservation]],
    *,
    by: Any,
    at: datetime,
) -> list[Reservation]:
    """Write a plan's picks as reservations against the locked lots, beside those that stand."""
    there = {(row.requirement_id, row.lot_id): row for found in kept.values() for row in found}
    made = []
    for pick in plan.picks:
        lot = lots[pick.lot_id]
        lot.reserved += pick.quantity
        update_row(lot, "reserved")
        row = there.get((pick.need_id, pick.lot_id))
        if row is None:
            row = Reservation(requirement_id=pick.need_id, lot=lot, quantity=0, made_at=at)
            row.made_by = by
            row.quantity += pick.quantity
            insert_row(row)
        else:
            row.quantity += pick.quantity
            update_row(row, "quantity")
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
