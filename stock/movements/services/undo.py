"""Undoing what was booked by mistake: counter-movements with the very costs, never a deletion.

What was split, paired or broken up is undone whole, and only while nothing of it has moved on.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction

from jobs.audit.services import post_event
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from stock.allocation.services import lock_requirements, post_issued
from stock.catalogue.enums import PlaceKind
from stock.ledger.enums import LotStatus, PostingKind
from stock.ledger.models import Lot, Movement, Posting
from stock.ledger.queries import find_posting
from stock.ledger.rules import COUNTER_KIND, YARD
from stock.ledger.services import Row, lock_lots, post_movements
from stock.movements.models import WasteNote
from stock.movements.services.tins import (
    check_untouched,
    is_pairing,
    post_kits_back,
    post_unpair,
)
from stock.movements.services.yard import free_for

UNDOABLE = (
    PostingKind.ISSUE, PostingKind.RETURN, PostingKind.WASTE, PostingKind.TRANSFER,
    PostingKind.COUNT,
)  # fmt: skip


def can_undo(posting: Posting) -> bool:
    """Return whether a posting's kind is undone here; that nothing moved is looked at then."""
    if posting.reverses_id is not None:
        return False
    return posting.kind in UNDOABLE or is_pairing(posting)


@transaction.atomic(durable=True)
def undo_posting(*, posting_id: int, reason: str, key: UUID, by: Any, at: datetime) -> Posting:
    """Undo a posting by its counter-movements, which carry its very costs back.

    A split is undone with its other half, a return with what was split off as opened, broken-up
    kits with the tins that were kept of them, and paired tins are single ones again; each refused
    once something of it has moved. Deliveries and mixes are undone where they were booked. An
    undone issue leaves nothing reserved: reserve again.
    """
    # long because: one write: what goes with what, in the order it locks
    if not reason.strip():
        raise ServiceError("Say why it is undone.", field="reason")
    original = Posting.objects.filter(pk=posting_id).select_related("job").first()
    if original is None:
        raise ServiceError("This posting is not in the book.", code="posting")
    kind = COUNTER_KIND.get(original.kind, original.kind)
    requirements = lock_requirements(original.job_id) if original.job_id else []
    moves = list(original.movements.select_related("lot", "from_place", "to_place"))
    splits = splits_within(original, moves)
    lots = lock_lots({move.lot_id for move in moves} | {pk for row in splits for pk in row.lot_ids})
    inputs: dict[str, object] = {"undo": posting_id}
    done = find_posting(key=key, kind=kind, inputs=inputs)
    if done is not None:
        return done
    check_undoable(original)
    for row in splits:
        post_unsplit(
            row, first=original, reason=reason, key=uuid5(key, f"split {row.out.pk}"), by=by, at=at
        )
    if original.kind in {PostingKind.ISSUE, PostingKind.RETURN}:
        sign = -1 if original.kind == PostingKind.ISSUE else 1
        for move in moves:
            lot = lots[move.lot_id]
            post_issued(requirements=requirements, lot=lot, quantity=sign * move.quantity)
    elif original.kind == PostingKind.RECEIVE:
        post_unpair(lots[moves[0].lot_id], original, reason=reason, by=by, at=at)
    elif not splits:
        if original.kind == PostingKind.WASTE:
            post_kits_back(original, moves[0].lot_id, reason=reason, by=by, at=at)
        for move in moves:
            if move.to_place.kind in YARD and move.from_place.kind not in YARD:
                free_for(lots[move.lot_id], move.quantity, by=by, at=at, reason="undone")
    return post_counter(original, reason=reason, key=key, by=by, at=at, inputs=inputs)


def post_counter(
    original: Posting, *, reason: str, key: UUID, by: Any, at: datetime,
    inputs: dict[str, object] | None = None,
) -> Posting:  # fmt: skip
    """Book the mirror of every movement of a posting."""
    return post_movements(
        key=key, kind=COUNTER_KIND.get(original.kind, original.kind), job_id=original.job_id,
        day=london_day(at), reason=reason.strip()[:200], by=by, at=at, inputs=inputs,
        reverses=original,
        rows=[
            Row(move.lot_id, move.quantity, move.to_place_id, move.from_place_id)
            for move in original.movements.all()
        ],
    )  # fmt: skip


def check_undoable(original: Posting) -> None:
    """Refuse to undo twice, to undo an undoing, and what another room undoes."""
    if original.reverses_id is not None:
        raise ServiceError("This undoes another posting already; book it anew.", code="counter")
    if Posting.objects.filter(reverses=original).exists():
        raise ServiceError("This was undone already.", code="undone")
    note = WasteNote.objects.filter(lines__posting=original).first()
    if note is not None:
        raise ServiceError(f"It left with {note}. Void the note first.", code="note")
    if not can_undo(original):
        raise ServiceError(
            "Goods-in is undone on the delivery's page and a mix on its lay day.", code="kind"
        )


# -- splits ------------------------------------------------------------------------------------


@dataclass(frozen=True)
class Split:
    """The two halves of a split: out of the lot, and into the lot that was made of it."""

    out: Posting
    into: Posting
    parent_id: int
    part: Lot

    @property
    def lot_ids(self) -> tuple[int, int]:
        """Both lots."""
        return self.parent_id, self.part.pk


def splits_within(original: Posting, moves: Iterable[Movement]) -> list[Split]:
    """Return the splits that stand and go with a posting: itself, or a return's opened packs."""
    outs: list[Posting] = []
    if original.kind == PostingKind.TRANSFER:
        for move in moves:
            if move.to_place.kind == PlaceKind.ADJUSTMENT:
                outs.append(original)
            elif move.from_place.kind == PlaceKind.ADJUSTMENT and move.lot.parent_id:
                outs += Posting.objects.filter(
                    kind=PostingKind.TRANSFER, movements__lot_id=move.lot.parent_id,
                    movements__to_place__kind=PlaceKind.ADJUSTMENT,
                )  # fmt: skip
    elif original.kind == PostingKind.RETURN:
        keys = [uuid5(original.key, f"opened {move.lot_id}") for move in moves]
        outs += Posting.objects.filter(key__in=keys)
    wanted = None if original in outs or original.kind == PostingKind.RETURN else original
    found = [split_of(out) for out in outs]
    return [row for row in found if row is not None and wanted in {None, row.into}]


def split_of(out: Posting) -> Split | None:
    """Return a split by its first half; None where it is none or was undone."""
    into = Posting.objects.filter(key=uuid5(out.key, "part"), reversed_by=None).first()
    if into is None or out.reverses_id is not None:
        return None
    part = into.movements.select_related("lot__item").get().lot
    return Split(out, into, out.movements.get().lot_id, part) if part.parent_id else None


def post_unsplit(
    row: Split, *, first: Posting, reason: str, key: UUID, by: Any, at: datetime
) -> None:
    """Put a part back into its lot: both halves but `first`, which the caller counters himself.

    Both lots are locked. The cost is the lot's again. A part that is held does not get into a
    released lot that way, unless it goes back to the site it came from.
    """
    part = lock_lots({row.part.pk})[row.part.pk]
    spot = row.into.movements.get()
    check_untouched(part, spot.to_place_id, spot.quantity)
    parent = lock_lots({row.parent_id})[row.parent_id]
    held = part.status == LotStatus.HELD and parent.status == LotStatus.RELEASED
    if held and first.kind != PostingKind.RETURN:
        raise ServiceError(
            f"{part.code} is held: {part.held_reason}. Somebody who may release lots releases it "
            "first.",
            code="held",
        )
    for half in (row.into, row.out):
        if half != first:
            post_counter(half, reason=reason, key=uuid5(key, str(half.pk)), by=by, at=at)
    # What was taken of the lot's cost is known by its parts: an undone one is none.
    part.parent = None
    Lot.objects.filter(pk=part.pk).update(parent=None)
    parent.refresh_from_db()
    parent.costed -= spot.quantity
    parent.save(update_fields=["costed"])
    post_event(
        verb="stock.undo_split", subject=parent, by=by, at=at, reason=reason,
        before={"part": part.code, "quantity": spot.quantity},
    )  # fmt: skip
