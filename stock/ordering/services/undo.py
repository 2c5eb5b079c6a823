"""Undoing a delivery that was booked by mistake, as long as nothing of it has moved."""

from __future__ import annotations

from collections import defaultdict
from datetime import datetime
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction

from jobs.audit.services import post_event
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction, claim_key, finish_key
from stock.ledger.enums import PostingKind
from stock.ledger.models import Lot, Movement
from stock.ledger.services import Row, lock_lots, post_movements
from stock.movements.services import check_untouched
from stock.ordering.enums import OrderState, Outcome
from stock.ordering.models import GoodsIn, Order, OrderLine
from stock.ordering.services.drafts import lock_order
from stock.ordering.services.shortages import post_shortages


@transaction.atomic(durable=True)
def undo_goods_in(
    *, goods_in_id: int, reason: str, key: UUID, by: Any, at: datetime, lock: bool = True
) -> GoodsIn:
    """Undo a delivery by counter-movements; see `post_undo`."""
    return post_undo(goods_in_id=goods_in_id, reason=reason, key=key, by=by, at=at, lock=lock)


def post_undo(
    *, goods_in_id: int, reason: str, key: UUID, by: Any, at: datetime, lock: bool = True
) -> GoodsIn:
    """Undo a delivery in the caller's transaction: its lots are empty, its order waits again.

    Refused where something of it was issued, moved, split, wasted, counted off, reserved or kept
    back, or where a claim for it is open: that is undone or closed first. The same key again
    returns the delivery as it stands. `lock=False` is for the race tests' control only.
    """
    assert_in_transaction()
    inputs: dict[str, object] = {"goods_in": goods_in_id}
    done = claim_key(key=key, kind="stock.undo_goods_in", inputs=inputs, at=at)
    if done is not None:
        return GoodsIn.objects.get(pk=goods_in_id)
    order, goods_in = lock_delivery(goods_in_id, lock=lock)
    reason = " ".join(reason.split())[:200]
    if not reason:
        raise ServiceError("Say why it is undone.", field="reason")
    if goods_in.undone_at is not None:
        raise ServiceError("This delivery was undone already.", code="undone")
    check_unclaimed(goods_in)
    lines = list(goods_in.lines.select_related("order_line__item"))
    lots = lock_lots({line.lot_id for line in lines if line.lot_id is not None})
    for lot in lots.values():
        take_back(lot, reason=reason, key=uuid5(key, lot.code), by=by, at=at)
    came: dict[int, int] = defaultdict(int)
    for line in lines:
        if line.outcome in {Outcome.GOOD, Outcome.HELD, Outcome.OVER}:
            came[line.order_line_id] += line.quantity
    open_again(order, goods_in, came)
    goods_in.undone_at, goods_in.undone_by, goods_in.undone_because = at, by, reason
    goods_in.save(update_fields=["undone_at", "undone_by", "undone_because"])
    post_event(
        verb="stock.undo_goods_in", subject=order, by=by, at=at, reason=reason,
        after={"goods_in": goods_in.pk, "lots": sorted(lot.code for lot in lots.values())},
    )  # fmt: skip
    finish_key(key=key, result=goods_in.pk)
    post_shortages(at=at)
    return goods_in


def lock_delivery(goods_in_id: int, *, lock: bool = True) -> tuple[Order, GoodsIn]:
    """Lock a delivery's order, then the delivery, and read both afresh."""
    delivery = GoodsIn.objects.filter(pk=goods_in_id)
    order_id = delivery.values_list("order_id", flat=True).get()
    order = lock_order(order_id) if lock else Order.objects.get(pk=order_id)
    if lock:
        delivery = delivery.select_for_update(of=("self",), no_key=True)
    return order, delivery.get()


def check_unclaimed(goods_in: GoodsIn) -> None:
    """Refuse to undo a locked delivery while a claim for it is open."""
    claim = goods_in.claims.filter(closed_at=None).order_by("pk").first()
    if claim is not None:
        raise ServiceError(
            f"{claim} is open for this delivery. Open this page again: a claim of which they were "
            "not told yet is withdrawn with the delivery; any other is closed first.",
            code="claimed",
        )


def take_back(lot: Lot, *, reason: str, key: UUID, by: Any, at: datetime) -> None:
    """Move a locked lot back to where it came from, or say what of it went elsewhere."""
    first = (
        Movement.objects.filter(
            lot=lot, posting__kind=PostingKind.RECEIVE, posting__reverses__isnull=True
        )
        .select_related("posting")
        .earliest("pk")
    )
    check_untouched(lot, first.to_place_id, first.quantity)
    post_movements(
        key=key, kind=PostingKind.RECEIVE, reverses=first.posting, day=london_day(at),
        rows=[Row(lot.pk, first.quantity, first.to_place_id, first.from_place_id)],
        reason=reason, by=by, at=at,
    )  # fmt: skip


def lines_of(order: Order) -> list[OrderLine]:
    """Read the lines of the locked order afresh."""
    return list(order.lines.select_related("item"))


def open_again(order: Order, goods_in: GoodsIn, came: dict[int, int]) -> None:
    """Put the locked order and its lines back to what they were before the delivery."""
    for line in lines_of(order):
        line.accepted -= came.get(line.pk, 0)
        if line.pk in goods_in.closed_lines or (line.pk in came and line.outstanding > 0):
            line.closed = False
        line.save(update_fields=["accepted", "closed"])
    if order.state == OrderState.RECEIVED:
        order.state = goods_in.order_was or OrderState.PLACED
    order.version += 1
    order.save(update_fields=["state", "version"])
