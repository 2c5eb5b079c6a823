"""A small world for the tests of orders: a won job that lacks stone, and who can bring it."""

from __future__ import annotations

from datetime import date
from typing import Any

from stock.ordering.models import Order, Shortage
from stock.ordering.services import draft_order, place_order, sweep_shortages
from tests.factories import (
    AT,
    make_booking,
    make_job,
    make_price,
    make_requirement,
    make_stone,
    make_supplier,
)

LAY_DAY = date(2026, 5, 19)  # a Tuesday; needed on Mon 18 May


def short_job(*, packs: int = 44, supplier: Any = None, item: Any = None, **job: Any) -> Any:
    """A booked job that wants `packs` bags of run-matched stone, laid on Tue 19 May 2026."""
    item = item or make_stone(run_matched=True)
    supplier = supplier or make_supplier()
    make_price(supplier, item, "8.40")
    made = make_job(stage="booked", **job)
    make_requirement(made, item, packs)
    make_booking(made, day=LAY_DAY)
    return made


def swept(**fields: Any) -> Shortage:
    """A short job's shortage as the sweep stored it."""
    job = short_job(**fields)
    sweep_shortages(at=AT)
    return Shortage.objects.get(job=job, closed_at=None)


def first_channel(supplier: Any) -> Any:
    """The supplier's online channel."""
    return supplier.channels.get(kind="online")


def channel_of(shortage: Shortage, kind: str = "online") -> Any:
    from stock.suppliers.models import Channel

    ids = [row["channel_id"] for row in shortage.channels]
    return Channel.objects.get(pk__in=ids, kind=kind)


def drafted(shortage: Shortage, by: Any = None, kind: str = "online") -> Order:
    from uuid import uuid4

    channel = channel_of(shortage, kind)
    return draft_order(channel_id=channel.pk, shortage_ids=[shortage.pk], key=uuid4(), by=by, at=AT)


def placed(shortage: Shortage, by: Any = None, kind: str = "online") -> Order:
    return place_order(order_id=drafted(shortage, by, kind).pk, by=by, at=AT).order
