"""Lots come in, are held, released and split."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID, uuid5

from django.db import transaction

from jobs.audit.services import post_event
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction
from jobs.kernel.series import next_reference
from stock.catalogue.enums import ItemKind, PlaceKind
from stock.catalogue.models import Item, Place
from stock.ledger import queries
from stock.ledger.enums import LotStatus, PostingKind
from stock.ledger.models import Lot
from stock.ledger.rules import kit_use_by
from stock.ledger.services.drafts import Row
from stock.ledger.services.postings import lock_lots, post_movements


def post_lot(  # noqa: PLR0913 - a lot is all of what its label says
    *,
    item: Item,
    quantity: int,
    cost: Decimal,
    place: Place,
    received_on: date,
    key: UUID,
    by: Any,
    at: datetime,
    run: str = "",
    batch_a: str = "",
    expiry_a: date | None = None,
    batch_b: str = "",
    expiry_b: date | None = None,
    expiry: date | None = None,
    status: str = LotStatus.RELEASED,
    held_reason: str = "",
) -> Lot:
    """Take a lot into the yard, in the caller's transaction: its row and its first movement.

    `quantity` in base units; `cost` is the landed cost without VAT of all of it. A kit needs the
    dates of both parts and takes the earlier one; run-matched stone needs its production run; what
    has a shelf life needs a date. The same key returns the lot that stands.
    """
    # long because: a lot is all of what its label says
    assert_in_transaction()
    inputs: dict[str, object] = {
        "item": item.pk, "quantity": quantity, "cost": cost, "run": run, "batch_a": batch_a,
        "batch_b": batch_b, "expiry": [expiry_a, expiry_b, expiry], "place": place.pk,
    }  # fmt: skip
    done = queries.find_posting(key=key, kind=PostingKind.RECEIVE, inputs=inputs)
    if done is not None:
        return Lot.objects.get(movements__posting=done)
    check_lot(item, quantity, cost, run, expiry_a, expiry_b, expiry)
    if item.kind == ItemKind.KIT:
        expiry = kit_use_by(expiry_a, expiry_b)
    lot = Lot(
        code=next_reference("L", received_on), item=item, run=run.strip(), batch_a=batch_a.strip(),
        expiry_a=expiry_a, batch_b=batch_b.strip(), expiry_b=expiry_b, expiry=expiry,
        status=status, held_reason=held_reason, received_on=received_on, received=quantity,
        cost=cost,
    )  # fmt: skip
    lot.full_clean()
    lot.save()
    supplier = queries.place(PlaceKind.SUPPLIER)
    post_movements(
        key=key, kind=PostingKind.RECEIVE, rows=[Row(lot.pk, quantity, supplier.pk, place.pk)],
        day=received_on, by=by, at=at, inputs=inputs,
    )  # fmt: skip
    lot.refresh_from_db()
    return lot


def check_lot(
    item: Item,
    quantity: int,
    cost: Decimal,
    run: str,
    expiry_a: date | None,
    expiry_b: date | None,
    expiry: date | None,
) -> None:
    """Refuse a lot that lacks what its item needs."""
    if quantity <= 0:
        raise ServiceError("How much came must be more than 0.", field="quantity")
    if cost < 0:
        raise ServiceError("A lot cannot cost less than nothing.", field="cost")
    if item.run_matched and not run.strip():
        raise ServiceError(
            f"Give the production run of {item}; it is printed on the bags.", field="run"
        )
    if item.kind == ItemKind.KIT:
        for name, part in (("expiry_a", expiry_a), ("expiry_b", expiry_b)):
            if part is None:
                raise ServiceError(
                    f"Give the use-by date of part {name[-1].upper()}; the earlier one counts.",
                    field=name,
                )
    elif item.shelf_life_months and expiry is None:
        raise ServiceError(f"Give the use-by date of {item}.", field="expiry")


# -- held, released, split -----------------------------------------------------------------------


def post_hold(*, lot: Lot, reason: str, by: Any, at: datetime) -> Lot:
    """Hold a lot that the caller has locked; nothing of it can be reserved or issued."""
    assert_in_transaction()
    reason = reason.strip()
    if not reason:
        raise ServiceError("Say why it is held.", field="reason")
    if lot.status == LotStatus.HELD:
        raise ServiceError(f"{lot.code} is held already: {lot.held_reason}.", code="held")
    lot.status, lot.held_reason = LotStatus.HELD, reason[:200]
    lot.save(update_fields=["status", "held_reason"])
    post_event(
        verb="stock.hold", subject=lot, by=by, at=at, reason=reason,
        before={"status": LotStatus.RELEASED}, after={"status": LotStatus.HELD},
    )  # fmt: skip
    return lot


@transaction.atomic(durable=True)
def hold_lot(*, lot_id: int, reason: str, by: Any, at: datetime) -> Lot:
    """Hold a lot, with the reason; what is reserved of it stays reserved and cannot be issued."""
    return post_hold(lot=lock_lots({lot_id})[lot_id], reason=reason, by=by, at=at)


def post_release(*, lot: Lot, reason: str, by: Any, at: datetime) -> Lot:
    """Release a held lot that the caller has locked, with what was found.

    One past its date stays held.
    """
    assert_in_transaction()
    reason = reason.strip()
    if not reason:
        raise ServiceError("Say what was found when it was looked at.", field="reason")
    if lot.status == LotStatus.RELEASED:
        raise ServiceError(f"{lot.code} is not held.", code="released")
    if lot.expiry is not None and lot.expiry < london_day(at):
        raise ServiceError(
            f"{lot.code} was to be used by {lot.expiry:%d %b %Y}; it cannot be released. Waste it.",
            code="out_of_date",
        )
    was = lot.held_reason
    lot.status, lot.held_reason = LotStatus.RELEASED, ""
    lot.save(update_fields=["status", "held_reason"])
    post_event(
        verb="stock.release", subject=lot, by=by, at=at, reason=reason,
        before={"status": LotStatus.HELD, "held_reason": was},
        after={"status": LotStatus.RELEASED},
    )  # fmt: skip
    return lot


@transaction.atomic(durable=True)
def release_lot(*, lot_id: int, reason: str, by: Any, at: datetime) -> Lot:
    """Release a held lot, with what was found; see `post_release`."""
    return post_release(lot=lock_lots({lot_id})[lot_id], reason=reason, by=by, at=at)


def post_split(
    *, lot_id: int, quantity: int, place: Place, held_reason: str, day: date, key: UUID, by: Any,
    at: datetime,
) -> Lot:  # fmt: skip
    """Make a lot of its own of part of a lot, in the caller's transaction.

    The part takes its share of the cost, to the penny. With `held_reason` it is held. What is
    reserved cannot be split off.
    """
    assert_in_transaction()
    parent = lock_lots({lot_id})[lot_id]
    inputs = {"lot": lot_id, "quantity": quantity, "place": place.pk}
    done = queries.find_posting(key=key, kind=PostingKind.TRANSFER, inputs=inputs)
    if done is not None:
        return Lot.objects.get(parent_id=lot_id, movements__posting__key=uuid5(key, "part"))
    adjustment = queries.place(PlaceKind.ADJUSTMENT)
    post_movements(
        key=key, kind=PostingKind.TRANSFER, rows=[Row(lot_id, quantity, place.pk, adjustment.pk)],
        day=day, reason="split off", by=by, at=at, inputs=inputs,
    )  # fmt: skip
    parent.refresh_from_db()
    taken = queries.lot_costs([parent])[lot_id].take(quantity)
    part = Lot(
        code=next_reference("L", day), item=parent.item, run=parent.run, batch_a=parent.batch_a,
        expiry_a=parent.expiry_a, batch_b=parent.batch_b, expiry_b=parent.expiry_b,
        expiry=parent.expiry, received_on=parent.received_on, received=quantity, cost=taken,
        parent=parent, status=LotStatus.HELD if held_reason else parent.status,
        held_reason=held_reason or parent.held_reason,
    )  # fmt: skip
    part.full_clean()
    part.save()
    parent.costed += quantity
    parent.save(update_fields=["costed"])
    post_movements(
        key=uuid5(key, "part"), kind=PostingKind.TRANSFER, day=day, by=by, at=at,
        rows=[Row(part.pk, quantity, adjustment.pk, place.pk)], reason=f"split from {parent.code}",
    )  # fmt: skip
    part.refresh_from_db()
    return part


@transaction.atomic(durable=True)
def split_lot(
    *, lot_id: int, quantity: int, place_id: int, held_reason: str = "", key: UUID, by: Any,
    at: datetime,
) -> Lot:  # fmt: skip
    """Make a lot of its own of part of a lot that lies in a place; held where a reason is given."""
    place = Place.objects.get(pk=place_id)
    return post_split(
        lot_id=lot_id, quantity=quantity, place=place, held_reason=held_reason.strip(),
        day=london_day(at), key=key, by=by, at=at,
    )  # fmt: skip
