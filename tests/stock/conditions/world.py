"""Places, resin with limits, and readings, made through the services."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

from django.db import transaction

from stock.catalogue.models import Item, Place
from stock.conditions.enums import Source
from stock.conditions.models import Excursion, Sensor
from stock.conditions.services import NewReading, add_sensor, check_place, lock_watch, post_readings
from stock.ledger.models import Lot
from stock.ledger.services import Row, post_movements
from tests.factories import AT, DAY, make_kit, make_lot, make_place

START = AT - timedelta(days=6)


def make_resin(**fields: Any) -> Item:
    """A kit to be kept between 5 and 25 °C, with two hours allowed beyond."""
    values = {
        "store_low_c": Decimal(5), "store_high_c": Decimal(25), "store_hours_allowed": 2,
    }  # fmt: skip
    return make_kit(**values | fields)


def read(place: Place, rows: Iterable[tuple[float, float]], start: datetime = START) -> None:
    """Keep readings of (hours after `start`, °C)."""
    new = [
        NewReading(start + timedelta(hours=hour), Decimal(str(value)).quantize(Decimal("0.01")))
        for hour, value in rows
    ]
    with transaction.atomic():
        post_readings(
            watch=lock_watch(place.pk), rows=new, source=Source.TYPED, by=None, at=AT
        )  # fmt: skip


def hot(hours: int, first: int = 0, value: float = 31.0) -> list[tuple[float, float]]:
    """Hourly readings: 20 °C, then `hours` above 25 °C from `first` on, then 20 °C again."""
    return [
        (hour, value if first < hour <= first + hours else 20.0)
        for hour in range(first, first + hours + 3)
    ]


def move(lot: Lot, a: Place, b: Place, quantity: int, at: datetime) -> None:
    with transaction.atomic():
        post_movements(
            key=uuid4(), kind="transfer", rows=[Row(lot.pk, quantity, a.pk, b.pk)], day=DAY,
            by=None, at=at,
        )  # fmt: skip


def too_hot(**fields: Any) -> tuple[Place, Lot, Excursion]:
    """A lot that lay above its limit for too long, found and held."""
    bay = make_place()
    lot = make_lot(make_resin(), 10, place=bay, **fields)
    read(bay, hot(5))
    check_place(place_id=bay.pk, at=AT)
    lot.refresh_from_db()
    return bay, lot, Excursion.objects.get(place=bay)


def make_sensor(place: Place | None = None) -> tuple[Sensor, str]:
    """A sensor with its token."""
    place = place or make_place()
    return add_sensor(name="probe 1", place_id=place.pk, key=uuid4(), by=None, at=AT)
