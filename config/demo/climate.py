"""The demo's thermometers: what the yard was like of late, and two nights that were too cold."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction

from config.demo.world import World, at, key
from stock.conditions.services import (
    add_reading,
    add_sensor,
    look_at_file,
    sweep_excursions,
    take_file,
)
from stock.ledger.services import post_lot

WEEKS = 6
EVERY = timedelta(hours=2)
# Kits that nobody carried to the heated bay, and the nights in which the container was too cold.
LEFT_AGO, COLD_AGO, COLD_NIGHTS = 9, 6, 2


def load_climate(world: World) -> None:
    """Bring two loggers' files, a sensor and a typed reading, then look for what was too much."""
    leave_kits_in_the_cold(world)
    bring_file(world, "Bay 1, heated", "logger 1", heated)
    bring_file(world, "Container", "logger 2", lambda when: unheated(when, world))
    sensor = {"name": "Bay 2, post by the door", "place_id": world.places["Bay 2"].pk}
    storeman = world.users["storeman"]
    add_sensor(**sensor, key=key("sensor", 1), by=storeman, at=world.limit)
    add_reading(
        place_id=world.places["Van 1"].pk, celsius=Decimal("11.5"), humidity=Decimal(68),
        measured_at=at(world.on - timedelta(days=1), 17, 10), by=storeman, at=world.limit,
    )  # fmt: skip
    sweep_excursions(at=world.limit)


def leave_kits_in_the_cold(world: World) -> None:
    """Take in three kits of standard resin that were left in the unheated container."""
    received = world.on - timedelta(days=LEFT_AGO)
    with transaction.atomic():
        post_lot(
            item=world.items["KIT-ST"], quantity=3, cost=Decimal("102.60"),
            place=world.places["Container"], received_on=received, key=key("cold lot"),
            by=world.users["storeman"], at=at(received, 14),
            batch_a="A2691", expiry_a=world.on + timedelta(days=120),
            batch_b="B2691", expiry_b=world.on + timedelta(days=150),
        )  # fmt: skip


def bring_file(world: World, place: str, name: str, celsius: Callable[[datetime], float]) -> None:
    """Bring a logger's file of the past weeks and take it over."""
    rows = [f"{when:%Y-%m-%d %H:%M}Z,{celsius(when):.1f},{humidity(when):.0f}"
            for when in moments(world)]  # fmt: skip
    common: dict[str, Any] = {"by": world.users["storeman"], "at": world.limit}
    file = look_at_file(
        place_id=world.places[place].pk, name=f"{name}.csv", unit="C", key=key("file", name),
        data="\n".join(["time,celsius,humidity", *rows]).encode(), **common,
    )  # fmt: skip
    take_file(file_id=file.pk, whole=True, **common)


def moments(world: World) -> Iterator[datetime]:
    """Yield when a logger measured: every two hours, but for one day with a flat battery."""
    end = (world.limit - timedelta(hours=1)).astimezone(UTC).replace(minute=0)
    count = int(timedelta(weeks=WEEKS) / EVERY)
    flat = range(count // 2, count // 2 + 12)
    for number in range(count):
        if number not in flat:
            yield end - EVERY * (count - 1 - number)


def heated(when: datetime) -> float:
    """Return the temperature of the heated bay, °C: warm, a little warmer in the afternoon."""
    return 17.5 + 1.8 * math.sin((when.hour - 9) / 24 * 2 * math.pi) + 0.4 * (when.day % 5)


def unheated(when: datetime, world: World) -> float:
    """Return the temperature of the container, °C: mild days, and nights that were too cold."""
    daily = math.sin((when.hour - 9) / 24 * 2 * math.pi)
    first = at(world.on - timedelta(days=COLD_AGO), 18)
    cold = first <= when < first + timedelta(days=COLD_NIGHTS)
    return (4.5 if cold else 12.5) + 3 * daily


def humidity(when: datetime) -> float:
    """Return the relative humidity, %."""
    return 62 + 9 * math.cos((when.hour - 4) / 24 * 2 * math.pi)
