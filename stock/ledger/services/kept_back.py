"""Stone of a job's run kept back for call-backs: it counts as reserved until it is released."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from jobs.audit.services import post_event
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import KeyUsedError, assert_in_transaction
from jobs.work.models import Job
from stock.ledger.models import KeptBack, Lot
from stock.ledger.services.drafts import words
from stock.ledger.services.postings import lock_lots


@transaction.atomic(durable=True)
def keep_back(
    *, lot_id: int, job_id: int, quantity: int, until: date, key: UUID, by: Any, at: datetime,
    note: str = "", lock: bool = True,
) -> KeptBack:  # fmt: skip
    """Keep so many base units of a lot for call-backs of a job, until a day.

    Refuses more than is free, a day that is past, and a lot that would be past its date by then.
    The same key returns the row that stands; with other figures it raises KeyUsedError.
    `lock=False` is for the race test's control only.
    """
    lot = lock_lots({lot_id}, lock=lock)[lot_id]
    done = KeptBack.objects.filter(key=key).select_related("lot", "job").first()
    if done is not None:
        if (done.lot_id, done.job_id, done.quantity) != (lot_id, job_id, quantity):
            raise KeyUsedError("This page was sent before with other figures. Open it again.")
        return done
    job = Job.objects.filter(pk=job_id).first()
    if job is None:
        raise ServiceError("This job is not in the book.", field="job")
    check_keep(lot, quantity, until, london_day(at))
    lot.reserved += quantity
    lot.save(update_fields=["reserved"])
    row = KeptBack(
        key=key, lot=lot, job=job, quantity=quantity, until=until, note=note.strip()[:200],
        kept_at=at, kept_by=by,
    )  # fmt: skip
    row.save()
    post_event(
        verb="stock.keep_back", subject=row, by=by, at=at, reason=row.note,
        after={"quantity": quantity, "until": until},
    )  # fmt: skip
    return row


def check_keep(lot: Lot, quantity: int, until: date, today: date) -> None:
    """Refuse what cannot be kept back."""
    if quantity <= 0:
        raise ServiceError("How much is kept back must be more than 0.", field="packs")
    if quantity > lot.free:
        raise ServiceError(
            f"{words(lot, lot.free)} of {lot.code} are free; {words(lot, quantity)} cannot be kept "
            "back.",
            field="packs", code="short",
        )  # fmt: skip
    check_until(lot, until, today)


def check_until(lot: Lot, until: date, today: date) -> None:
    """Refuse a day that is past, or past the lot's date."""
    if until < today:
        raise ServiceError("Give a day that is still to come.", field="until")
    if lot.expiry is not None and lot.expiry < until:
        raise ServiceError(
            f"{lot.code} is to be used by {lot.expiry:%d %b %Y}; keep it until then at most.",
            field="until",
        )


@transaction.atomic(durable=True)
def extend_kept_back(*, kept_id: int, until: date, by: Any, at: datetime) -> KeptBack:
    """Keep what is kept back until another day, later or sooner; nothing else of it changes.

    Refuses what was released, a day that is past, and a lot that would be past its date by then.
    """
    lot_id = KeptBack.objects.filter(pk=kept_id).values_list("lot_id", flat=True).first()
    if lot_id is None:
        raise ServiceError("This is not in the book.", code="gone")
    lot = lock_lots({lot_id})[lot_id]
    row = KeptBack.objects.select_related("lot", "job").get(pk=kept_id)
    if row.released_at is not None:
        raise ServiceError(f"It was released: {row.released_because}. Keep it back anew.")
    if row.until == until:
        return row
    check_until(lot, until, london_day(at))
    before, row.until = row.until, until
    row.save(update_fields=["until"])
    post_event(
        verb="stock.extend_kept_back", subject=row, by=by, at=at, before={"until": before},
        after={"until": until},
    )  # fmt: skip
    return row


@transaction.atomic(durable=True)
def release_kept_back(*, kept_id: int, reason: str, by: Any, at: datetime) -> KeptBack:
    """Give what was kept back free again, with the reason; released twice it stays as it was."""
    lot_id = KeptBack.objects.filter(pk=kept_id).values_list("lot_id", flat=True).first()
    if lot_id is None:
        raise ServiceError("This is not in the book.", code="gone")
    lot = lock_lots({lot_id})[lot_id]
    row = KeptBack.objects.select_related("lot", "job").get(pk=kept_id)
    if row.released_at is not None:
        return row
    if not reason.strip():
        raise ServiceError("Say why it is no longer kept back.", field="reason")
    lot.reserved -= row.quantity
    lot.save(update_fields=["reserved"])
    close(row, reason.strip(), by=by, at=at)
    return row


def close(row: KeptBack, reason: str, *, by: Any, at: datetime) -> None:
    """Mark a row of a locked lot as released."""
    row.released_at, row.released_by, row.released_because = at, by, reason[:200]
    row.save(update_fields=["released_at", "released_by", "released_because"])
    post_event(
        verb="stock.release_kept_back", subject=row, by=by, at=at, reason=reason,
        before={"quantity": row.quantity},
    )  # fmt: skip


def post_free_kept(*, lot: Lot, quantity: int, by: Any, at: datetime, reason: str) -> int:
    """Free so much of what is kept back of a locked lot, the latest first; return what was freed.

    For stock that is not there after all: what is kept for a call-back gives way before what is
    reserved for a job. A row that gives way in part stays with what is left.
    """
    assert_in_transaction()
    freed = 0
    rows = KeptBack.objects.open().filter(lot=lot).select_related("lot", "job").order_by("-pk")
    for row in rows:
        part = min(row.quantity, quantity - freed)
        if part <= 0:
            break
        freed += part
        lot.reserved -= part
        if part == row.quantity:
            close(row, reason, by=by, at=at)
            continue
        row.quantity -= part
        row.save(update_fields=["quantity"])
        post_event(
            verb="stock.release_kept_back", subject=row, by=by, at=at, reason=reason,
            before={"quantity": row.quantity + part}, after={"quantity": row.quantity},
        )  # fmt: skip
    if freed:
        lot.save(update_fields=["reserved"])
    return freed
