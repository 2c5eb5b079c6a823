"""Writing suppliers: how and by when they can be ordered from, when they are shut, their prices."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, time
from decimal import Decimal
from typing import Any

from django.db import transaction

from jobs.audit.services import changes, post_event
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction
from stock.catalogue.models import Item
from stock.suppliers.models import (
    Channel,
    ChannelCharge,
    Cutoff,
    Supplier,
    SupplierClosedDay,
    SupplierPrice,
)


def lock_supplier(supplier_id: int) -> Supplier:
    """Lock a supplier's row, which is the lock for all that hangs on it."""
    supplier: Supplier = Supplier.objects.select_for_update(no_key=True).get(pk=supplier_id)
    return supplier


@transaction.atomic(durable=True)
def add_supplier(*, by: Any, at: datetime, **values: Any) -> Supplier:
    """Add a supplier; channels and prices follow."""
    supplier = Supplier(**values)
    supplier.full_clean()
    supplier.save()
    post_event(verb="suppliers.add", subject=supplier, by=by, at=at, after=values)
    return supplier


@transaction.atomic(durable=True)
def change_supplier(*, supplier_id: int, by: Any, at: datetime, **values: Any) -> Supplier:
    """Change a supplier's name, addresses, working and delivery days."""
    supplier = lock_supplier(supplier_id)
    before, after = changes(supplier, values)
    for name, value in values.items():
        setattr(supplier, name, value)
    supplier.full_clean()
    supplier.save()
    post_event(verb="suppliers.change", subject=supplier, by=by, at=at, before=before, after=after)
    return supplier


@transaction.atomic(durable=True)
def set_channel(
    *, supplier_id: int, kind: str, lead_days: int, carriage: Decimal, minimum: Decimal,
    cutoffs: Mapping[int, time | None], free_from: Decimal | None = None,
    valid_from: date | None = None, by: Any, at: datetime,
) -> Channel:  # fmt: skip
    """Add a way to order or change it: lead, charges, and the cut-off by weekday.

    Carriage, least order and `free_from` hold from `valid_from` (today without it) until the next
    ones that are given; what holds on earlier days stays, and the same day again puts them right.
    `cutoffs` maps a weekday (Monday is 0) to the last moment that still counts that day, None
    where nothing can be ordered.
    """
    supplier = lock_supplier(supplier_id)
    if not any(cutoffs.values()):
        raise ServiceError("Give the cut-off of one weekday at least.", field="cutoff_0")
    channel = Channel.objects.filter(supplier=supplier, kind=kind).first() or Channel(
        supplier=supplier, kind=kind
    )
    channel.lead_days = lead_days
    channel.full_clean()
    channel.save()
    figures = {"carriage": carriage, "minimum": minimum, "free_from": free_from}
    begins = valid_from or london_day(at)
    before = _set_charge(channel, begins, figures)
    channel.cutoffs.all().delete()
    Cutoff.objects.bulk_create(
        Cutoff(channel=channel, weekday=weekday, wall_time=wall)
        for weekday, wall in sorted(cutoffs.items())
        if wall is not None
    )
    post_event(
        verb="suppliers.channel", subject=supplier, by=by, at=at, before=before,
        after={
            "kind": kind, "lead_days": lead_days, "valid_from": begins, **figures,
            "cutoffs": ", ".join(f"{day} {wall}" for day, wall in sorted(cutoffs.items()) if wall),
        },
    )  # fmt: skip
    return channel


def _set_charge(
    channel: Channel, day: date, figures: Mapping[str, Decimal | None]
) -> dict[str, Any]:
    """Write what a channel charges from a day on; return what it charged on that day before.

    Nothing is written where the same figures hold on that day already.
    """
    held = ChannelCharge.objects.of_channel(channel.pk, day)
    before = {name: getattr(held, name) for name in figures} if held else {}
    if before != figures:
        charge = (
            held
            if held and held.valid_from == day
            else ChannelCharge(channel=channel, valid_from=day)
        )
        for name, value in figures.items():
            setattr(charge, name, value)
        charge.full_clean()
        charge.save()
    return before


@transaction.atomic(durable=True)
def close_day(
    *, supplier_id: int, calendar: str, day: date, reason: str, by: Any, at: datetime
) -> SupplierClosedDay:
    """Note a day on which a supplier does not work or does not deliver."""
    supplier = lock_supplier(supplier_id)
    if SupplierClosedDay.objects.filter(supplier=supplier, calendar=calendar, day=day).exists():
        raise ServiceError("That day is noted already.", field="day")
    closed = SupplierClosedDay(supplier=supplier, calendar=calendar, day=day, reason=reason)
    closed.full_clean()
    closed.save()
    post_event(verb="suppliers.close_day", subject=supplier, by=by, at=at, after={"day": day})
    return closed


@transaction.atomic(durable=True)
def open_day(*, closed_id: int, by: Any, at: datetime) -> Supplier:
    """Take a closed day back."""
    closed = SupplierClosedDay.objects.select_related("supplier").filter(pk=closed_id).first()
    if closed is None:
        raise ServiceError("That day is open already.", code="gone")
    supplier = lock_supplier(closed.supplier_id)
    day = closed.day
    closed.delete()
    post_event(verb="suppliers.open_day", subject=supplier, by=by, at=at, before={"day": day})
    return supplier


@transaction.atomic(durable=True)
def set_price(
    *, supplier_id: int, item: Item, valid_from: date, from_packs: int, pack_price: Decimal,
    by: Any, at: datetime, supplier_code: str = "",
) -> SupplierPrice:  # fmt: skip
    """Add a price from a day and a number of packs on; the same day again puts it right."""
    return post_price(
        supplier_id=supplier_id, item=item, valid_from=valid_from, from_packs=from_packs,
        pack_price=pack_price, supplier_code=supplier_code, by=by, at=at,
    )  # fmt: skip


def post_price(
    *, supplier_id: int, item: Item, valid_from: date, from_packs: int, pack_price: Decimal,
    by: Any, at: datetime, supplier_code: str = "",
) -> SupplierPrice:  # fmt: skip
    """Add a price or put it right, in the caller's transaction; see `set_price`."""
    assert_in_transaction()
    supplier = lock_supplier(supplier_id)
    price = SupplierPrice.objects.filter(
        supplier=supplier, item=item, valid_from=valid_from, from_packs=from_packs
    ).first() or SupplierPrice(
        supplier=supplier, item=item, valid_from=valid_from, from_packs=from_packs
    )
    before = {"pack_price": price.pack_price} if price.pk else {}
    price.pack_price, price.supplier_code = pack_price, supplier_code
    price.full_clean()
    price.save()
    post_event(
        verb="suppliers.price", subject=supplier, by=by, at=at, before=before,
        after={"item": item.name, "valid_from": valid_from, "from_packs": from_packs,
               "pack_price": pack_price},
    )  # fmt: skip
    return price
