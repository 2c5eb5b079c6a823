"""To the site and back: issue what is reserved, take back what was not opened."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction

from jobs.audit.services import post_event
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction
from jobs.work.models import Job
from stock.allocation.models import Reservation
from stock.allocation.queries import lay_day_of
from stock.allocation.services import lock_requirements, post_issued, post_use
from stock.catalogue.enums import PlaceKind
from stock.catalogue.models import Place
from stock.ledger.enums import PostingKind
from stock.ledger.models import Balance, Posting
from stock.ledger.queries import find_posting, place
from stock.ledger.rules import YARD
from stock.ledger.services import Row, lock_lots, post_movements, post_split
from stock.movements.rules import draw_from, refuse_return


@dataclass(frozen=True)
class ReturnRow:
    """So many base units of a lot that come back; `opened` for the contents of an opened pack."""

    lot_id: int
    quantity: int
    opened: bool = False


@transaction.atomic(durable=True)
def issue_job(
    *, job_id: int, key: UUID, day: date, by: Any, at: datetime, phase: str = ""
) -> Posting:
    """Issue what is reserved for a job (or for one phase of it) to its site, at its actual cost.

    The same key again returns the posting that stands. Refuses when nothing is reserved, when a lot
    is held, and when a kit would be past its date on `day`: then nothing at all is issued.
    """
    job = find_job(job_id)
    requirements = lock_requirements(job_id)
    inputs = {"job": job_id, "day": day, "phase": phase}
    done = find_posting(key=key, kind=PostingKind.ISSUE, inputs=inputs)
    if done is not None:
        return done
    rows = Reservation.objects.filter(requirement__job_id=job_id).order_by("pk")
    reservations = list(rows.filter(requirement__phase=phase) if phase else rows)
    if not reservations:
        raise ServiceError(
            f"Nothing is reserved for {job.reference}. Reserve first.", code="nothing_reserved"
        )
    lots = lock_lots({row.lot_id for row in reservations})
    wanted: dict[int, int] = {}
    for row in reservations:
        wanted[row.lot_id] = wanted.get(row.lot_id, 0) + row.quantity
    post_use(reservations=reservations, requirements=requirements, lots=lots)
    return post_movements(
        key=key, kind=PostingKind.ISSUE, rows=issue_rows(job, wanted), job_id=job_id, day=day,
        by=by, at=at, inputs=inputs,
    )  # fmt: skip


def find_job(job_id: int) -> Job:
    """Return the job, or refuse with a sentence."""
    job: Job | None = Job.objects.filter(pk=job_id).first()
    if job is None:
        raise ServiceError("This job is not in the book.", code="job")
    return job


def issue_rows(job: Job, wanted: dict[int, int]) -> list[Row]:
    """Return rows that draw each lot from its places, the nearest first, to the job's site."""
    site = place(PlaceKind.SITE, job)
    there: dict[int, list[tuple[int, int]]] = {}
    for row in (
        Balance.objects.filter(lot_id__in=wanted, quantity__gt=0, place__kind__in=YARD)
        .select_related("place")
        .order_by("place__near", "place_id")
    ):
        there.setdefault(row.lot_id, []).append((row.place_id, row.quantity))
    return [
        Row(lot_id, part, place_id, site.pk)
        for lot_id, quantity in sorted(wanted.items())
        for place_id, part in draw_from(there.get(lot_id, []), quantity)
    ]


@transaction.atomic(durable=True)
def return_from_site(
    *, job_id: int, rows: Sequence[ReturnRow], place_id: int, key: UUID, day: date, by: Any,
    at: datetime,
) -> Posting:  # fmt: skip
    """Take unopened packs, and opened bags, back from a job's site; see `post_return`."""
    return post_return(
        job_id=job_id, rows=rows, place_id=place_id, key=key, day=day, by=by, at=at
    )  # fmt: skip


def post_return(
    *, job_id: int, rows: Sequence[ReturnRow], place_id: int, key: UUID, day: date, by: Any,
    at: datetime,
) -> Posting:  # fmt: skip
    """Take stock back from a job's site, in the caller's transaction; its issued cost is credited.

    Whole packs go back into their lot. What is left of an opened bag becomes a lot of its own and
    is held. An opened kit and a kit past its date are refused: they are waste. From the last lay
    day on the job's requirements of these items are closed, so that nothing looks short again.
    """
    # long because: one write: what comes back, what is refused, what is closed
    assert_in_transaction()
    job = find_job(job_id)
    requirements = lock_requirements(job_id)
    rows = [row for row in rows if row.quantity]
    inputs = {
        "job": job_id, "place": place_id, "day": day,
        "rows": [(row.lot_id, row.quantity, row.opened) for row in rows],
    }  # fmt: skip
    done = find_posting(key=key, kind=PostingKind.RETURN, inputs=inputs)
    if done is not None:
        return done
    back = Place.objects.get(pk=place_id)
    lots = lock_lots({row.lot_id for row in rows})
    for row in rows:
        lot = lots[row.lot_id]
        why = refuse_return(
            kind=lot.item.kind, code=lot.code, opened=row.opened, quantity=row.quantity,
            pack_quantity=lot.item.pack_quantity, expiry=lot.expiry, day=day,
        )  # fmt: skip
        if why:
            raise ServiceError(why, code="no_return")
    site = place(PlaceKind.SITE, job)
    posting = post_movements(
        key=key, kind=PostingKind.RETURN, job_id=job_id, day=day, by=by, at=at, inputs=inputs,
        rows=[Row(row.lot_id, row.quantity, site.pk, back.pk) for row in rows],
    )  # fmt: skip
    lay_day = lay_day_of(job_id)
    closing = at if lay_day is not None and day >= lay_day else None
    for row in rows:
        lot = lots[row.lot_id]
        post_issued(requirements=requirements, lot=lot, quantity=-row.quantity, at=closing)
        if row.opened:
            post_split(
                lot_id=row.lot_id, quantity=row.quantity, place=back, day=day, by=by, at=at,
                held_reason=f"opened at {job.reference}", key=uuid5(key, f"opened {row.lot_id}"),
            )  # fmt: skip
    return posting


@transaction.atomic(durable=True)
def mark_picked(*, job_id: int, by: Any, at: datetime) -> int:
    """Mark all that is reserved for a job as picked, so that it does not move by itself."""
    job = find_job(job_id)
    lock_requirements(job_id)
    count = Reservation.objects.filter(requirement__job_id=job_id, picked_at=None).update(
        picked_at=at
    )
    if count:
        post_event(verb="stock.pick", subject=job, by=by, at=at, after={"reservations": count})
    return count
