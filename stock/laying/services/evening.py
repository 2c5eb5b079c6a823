"""The evening: what was drawn and not laid comes back, is waste, stays, or is asked about."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction

from jobs.audit.services import post_event
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import round_line
from jobs.kernel.posting import claim_key, finish_key
from stock.allocation.services import lock_requirements
from stock.catalogue.enums import PlaceKind
from stock.catalogue.models import Place
from stock.laying import queries
from stock.laying.models import Discrepancy, LayDay
from stock.laying.rules import EveningRow, unexplained
from stock.laying.services.locks import check_words, lock_day, need_open, save_day
from stock.laying.services.mixes import locked_mix, post_mix_stock, settle_open
from stock.ledger.enums import PostingKind
from stock.ledger.models import Balance, Lot
from stock.ledger.queries import place
from stock.ledger.services import Row, lock_lots, post_movements, words
from stock.movements.rules import COUNT_LIMIT, refuse_return
from stock.movements.services import ReturnRow, post_return, post_waste


@transaction.atomic(durable=True)
def evening_return(
    *, lay_day_id: int, rows: Sequence[EveningRow], place_id: int, key: UUID, by: Any, at: datetime
) -> LayDay:
    """Balance what lies at the site: drawn = laid + back + waste + used + stays + unexplained.

    Unopened packs go back into their lot in `place_id`, the rest of an opened bag becomes a held
    lot there, waste goes with its reason. What a row leaves unexplained of a lot that mixes are
    made of is a difference for the storeman and stays in the book at the site until he answers.
    Lots that no row names are left as they are. Refuses more than the book has, an opened kit, and
    part of a pack as unopened, at the field `back_`, `opened_` or `reason_` with the lot's pk. The
    same key twice books once.
    """
    day = lock_day(lay_day_id)
    inputs = {"day": lay_day_id, "place": place_id, "rows": [repr(row) for row in rows]}
    if claim_key(key=key, kind="lay.evening", inputs=inputs, at=at) is not None:
        return day
    need_open(day)
    back_to = Place.objects.filter(
        pk=place_id, kind__in=(PlaceKind.BAY, PlaceKind.VAN), archived_at=None
    ).first()
    if back_to is None:
        raise ServiceError("Choose a bay or van that is in use.", field="place")
    lock_requirements(day.job_id)
    lots = lock_lots({row.lot_id for row in rows})
    if len(lots) != len(rows):
        raise ServiceError("Each lot is balanced once.", code="twice")
    left = site_balances(day.job_id, lots)
    for row in rows:
        check_row(row, lots[row.lot_id], left[row.lot_id], london_day(at))
    post_rows(day, rows, back_to, key=key, by=by, at=at)
    for row in rows:
        note_difference(day, lots[row.lot_id], unexplained(left[row.lot_id], row), by=by, at=at)
    day.balanced_at = at
    save_day(day, "balanced_at")
    post_event(verb="lay.balance", subject=day, by=by, at=at, after={"lots": len(rows)})
    finish_key(key=key, result=day.pk)
    return day


def site_balances(job_id: int, lots: Mapping[int, Lot]) -> dict[int, int]:
    """Return what the book has of locked lots at a job's site."""
    there = dict(
        Balance.objects.filter(place__job_id=job_id, lot_id__in=lots).values_list(
            "lot_id", "quantity"
        )
    )
    return {pk: there.get(pk, 0) for pk in lots}


def check_row(row: EveningRow, lot: Lot, left: int, day: Any) -> None:
    """Refuse a row that cannot be, at its field."""
    if min(row.back, row.opened, row.waste, row.used, row.stays) < 0:
        raise ServiceError("A quantity is 0 or more.", field=f"back_{lot.pk}")
    for quantity, opened, name in ((row.back, False, "back"), (row.opened, True, "opened")):
        if quantity:
            why = refuse_return(
                kind=lot.item.kind, code=lot.code, opened=opened, quantity=quantity,
                pack_quantity=lot.item.pack_quantity, expiry=lot.expiry, day=day,
            )  # fmt: skip
            if why:
                raise ServiceError(why, field=f"{name}_{lot.pk}", code="no_return")
    if row.waste and not row.reason.strip():
        raise ServiceError("Say why it is waste and where it went.", field=f"reason_{lot.pk}")
    if unexplained(left, row) < 0:
        raise ServiceError(
            f"By the book {words(lot, left)} of {lot.code} are at the site, and you give "
            f"{words(lot, row.accounted)}. Count again; if so much is there, undo a mix that was "
            "logged too often or ask the storeman what he issued.",
            field=f"back_{lot.pk}", code="too_much",
        )  # fmt: skip


def post_rows(
    day: LayDay, rows: Sequence[EveningRow], back_to: Place, *, key: UUID, by: Any, at: datetime
) -> None:
    """Book what came back, what is waste, and what was used without a mix."""
    site = place(PlaceKind.SITE, day.job)
    today = london_day(at)
    back = [ReturnRow(row.lot_id, row.back) for row in rows if row.back]
    back += [ReturnRow(row.lot_id, row.opened, opened=True) for row in rows if row.opened]
    if back:
        post_return(
            job_id=day.job_id, rows=back, place_id=back_to.pk, key=uuid5(key, "back"), day=today,
            by=by, at=at,
        )  # fmt: skip
    for row in rows:
        if row.waste:
            post_waste(
                lot_id=row.lot_id, place_id=site.pk, quantity=row.waste, reason=row.reason,
                key=uuid5(key, f"waste {row.lot_id}"), day=today, by=by, at=at,
            )  # fmt: skip
    used = [row for row in rows if row.used]
    if used:
        laid = place(PlaceKind.LAID)
        post_movements(
            key=uuid5(key, "used"), kind=PostingKind.LAY, job_id=day.job_id, day=day.day, by=by,
            at=at, reason="used on the lay day",
            rows=[Row(row.lot_id, row.used, site.pk, laid.pk) for row in used],
        )  # fmt: skip


def note_difference(day: LayDay, lot: Lot, missing: int, *, by: Any, at: datetime) -> None:
    """Keep one open difference for a lot at a site: made, brought up to date, or answered."""
    standing = (
        Discrepancy.objects.open().filter(lay_day__job_id=day.job_id, lot=lot, mix=None).first()
    )
    if lot.item.kind not in queries.MIXED:
        missing = 0  # what no mix logs is not counted so closely
    if missing <= 0:
        if standing is not None:
            standing.answer, standing.answered_by = "Found in a later balance.", by
            standing.answered_at = at
            standing.save(update_fields=["answer", "answered_by", "answered_at"])
        return
    found = standing or Discrepancy(lay_day=day, lot=lot, found_at=at)
    found.quantity = missing
    found.what = (
        f"{words(lot, missing)} of {lot.code}, {lot.item}, drawn and neither laid, brought back "
        "nor wasted."
    )
    check_words(found).save()


@transaction.atomic(durable=True)
def answer_discrepancy(
    *, discrepancy_id: int, answer: str, by: Any, at: datetime, settle: bool = False,
    may_approve: bool = False,
) -> Discrepancy:  # fmt: skip
    """Answer a difference in words; with `settle` the book is put right at the same time.

    For a mix that was not booked, its material is moved now (after a forgotten issue was booked);
    for a lot, what is missing is written off the site as a count difference, which above the limit
    needs one who may approve counts. Answered twice it keeps the first answer.
    """
    found = Discrepancy.objects.filter(pk=discrepancy_id).first()
    if found is None:
        raise ServiceError("This difference is not in the book.", code="discrepancy")
    lock_day(found.lay_day_id)
    found = Discrepancy.objects.select_related("lay_day__job").get(pk=discrepancy_id)
    if found.answered_at is not None:
        return found
    answer = " ".join(answer.split())
    if not answer:
        raise ServiceError("Say what became of it.", field="answer")
    if settle and found.mix_id:
        settle_mix(found, answer=answer, by=by, at=at)
    elif settle and found.lot_id:
        settle_lot(found, may_approve=may_approve, by=by, at=at)
    found.answer, found.answered_by, found.answered_at = answer[:300], by, at
    found.save(update_fields=["answer", "answered_by", "answered_at"])
    post_event(
        verb="lay.answer", subject=found, by=by, at=at, reason=answer, after={"settled": settle}
    )
    return found


def settle_mix(found: Discrepancy, *, answer: str, by: Any, at: datetime) -> None:
    """Book the material of a mix that stands without a posting, or refuse with what is missing."""
    assert found.mix_id is not None  # noqa: S101 - asked by the caller
    mix = locked_mix(found.mix_id)
    if mix.posting is not None:
        return
    settle_open(mix, by=by, at=at, answer=answer[:300])
    if post_mix_stock(mix, by=by, at=at) is None:
        again = Discrepancy.objects.open().filter(mix=mix).first()
        raise ServiceError(
            f"{again.what if again else found.what} Issue it to the job first.", field="settle"
        )


def settle_lot(found: Discrepancy, *, may_approve: bool, by: Any, at: datetime) -> None:
    """Write what is missing of a lot off the site as a count difference."""
    assert found.lot_id is not None  # noqa: S101 - asked by the caller
    lot = lock_lots({found.lot_id})[found.lot_id]
    job = found.lay_day.job
    left = site_balances(job.pk, {lot.pk: lot})[lot.pk]
    if left < found.quantity:
        raise ServiceError(
            f"By the book only {words(lot, left)} are left at the site; answer in words only.",
            field="settle",
        )
    worth = round_line(found.quantity * lot.cost / lot.received)
    if worth > COUNT_LIMIT and not may_approve:
        raise ServiceError(
            f"It is worth £{worth}; above £{COUNT_LIMIT} somebody who may approve counts must "
            "write it off.",
            field="settle", code="approve",
        )  # fmt: skip
    site, adjustment = place(PlaceKind.SITE, job), place(PlaceKind.ADJUSTMENT)
    post_movements(
        key=uuid5(found.lay_day.uid, f"difference {found.pk}"), kind=PostingKind.COUNT,
        rows=[Row(lot.pk, found.quantity, site.pk, adjustment.pk)], job_id=job.pk,
        day=london_day(at), by=by, at=at, reason=f"missing after the lay day of {job.reference}",
    )  # fmt: skip
