"""Keeping readings: one for each place and instant, whoever sends it, however often.

The place's `Watch` row is the lock of its readings. Whoever also writes lots locks it first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from jobs.audit.services import post_event
from jobs.kernel.enqueue import enqueue
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction
from stock.catalogue.models import Place
from stock.conditions.enums import Source
from stock.conditions.models import Reading, Sensor, Watch
from stock.conditions.rules.values import check_celsius, check_humidity, check_instant

CHECK_TASK = "stock.conditions.check"
BATCH = 2000


@dataclass(frozen=True)
class NewReading:
    """What was measured: when, °C, and % where it is known; checked already."""

    at: datetime
    celsius: Decimal
    humidity: Decimal | None = None


@dataclass(frozen=True)
class KeptReadings:
    """How many were new, how many were there already, and which contradict one that is there."""

    new: int
    known: int
    clashes: tuple[NewReading, ...]


def lock_watch(place_id: int, *, lock: bool = True) -> Watch:
    """Lock the row that guards a place's readings, made where it is missing.

    `lock=False` is for the race tests' control only.
    """
    assert_in_transaction()
    watch, _ = Watch.objects.get_or_create(place_id=place_id)
    if not lock:
        return watch
    return Watch.objects.select_for_update(no_key=True).get(place_id=place_id)


def post_readings(
    *, watch: Watch, rows: Sequence[NewReading], source: str, by: Any, at: datetime,
    sensor: Sensor | None = None,
) -> KeptReadings:  # fmt: skip
    """Keep readings of the place whose watch the caller has locked.

    One that is there with the same figures is known; with others it is a clash and kept out.
    """
    # long because: one write with what it keeps out and why
    assert_in_transaction()
    if not rows:
        return KeptReadings(0, 0, ())
    instants = [row.at for row in rows]
    there = {
        when: (celsius, humidity)
        for when, celsius, humidity in Reading.objects.filter(
            place_id=watch.place_id, at__gte=min(instants), at__lte=max(instants)
        ).values_list("at", "celsius", "humidity")
    }
    fresh: dict[datetime, NewReading] = {}
    clashes, known = [], 0
    for row in rows:
        figures = (row.celsius, row.humidity)
        stands = there.setdefault(row.at, figures)
        if stands != figures:
            clashes.append(row)
        elif row.at in fresh or stands is not figures:
            known += 1
        else:
            fresh[row.at] = row
    Reading.objects.bulk_create(
        (
            Reading(
                place_id=watch.place_id, at=row.at, celsius=row.celsius, humidity=row.humidity,
                source=source, sensor=sensor, by=by, recorded_at=at,
            )
            for row in fresh.values()
        ),
        batch_size=BATCH,
    )  # fmt: skip
    if fresh:
        mark_dirty(watch, min(fresh))
    return KeptReadings(len(fresh), known, tuple(clashes))


def mark_dirty(watch: Watch, since: datetime) -> None:
    """Say that the readings from `since` on are to be checked, and ring for it."""
    watch.dirty_from = min(since, watch.dirty_from) if watch.dirty_from else since
    watch.save(update_fields=["dirty_from"])
    enqueue(CHECK_TASK, watch.place_id)


@transaction.atomic(durable=True)
def add_reading(
    *, place_id: int, celsius: Decimal, humidity: Decimal | None, measured_at: datetime, by: Any,
    at: datetime,
) -> Reading:  # fmt: skip
    """Keep a reading that somebody typed; the same one twice is one."""
    row = NewReading(
        at=checked("measured_at", check_instant, measured_at, at),
        celsius=checked("celsius", check_celsius, celsius),
        humidity=None if humidity is None else checked("humidity", check_humidity, humidity),
    )
    watch = lock_watch(place_id)
    kept = post_readings(watch=watch, rows=[row], source=Source.TYPED, by=by, at=at)
    reading = Reading.objects.select_related("place").get(place_id=place_id, at=row.at)
    if kept.clashes:
        raise ServiceError(
            f"There is a reading of {reading.celsius} °C at that time already. Leave it out "
            "first, with the reason, where it is wrong.",
            field="measured_at",
        )
    if kept.new:
        post_event(
            verb="conditions.read", subject=reading, by=by, at=at,
            after={"celsius": row.celsius, "humidity": row.humidity, "measured_at": row.at},
        )  # fmt: skip
    return reading


def checked(name: str, check: Any, *values: Any) -> Any:
    """Return what a rule makes of a value; its refusal goes to the field."""
    try:
        return check(*values)
    except ValueError as refusal:
        raise ServiceError(str(refusal), field=name) from refusal


@transaction.atomic(durable=True)
def leave_out_reading(*, reading_id: int, reason: str, by: Any, at: datetime) -> Reading:
    """Take a wrong reading out of all reckoning, with the reason; the row stays."""
    reading = Reading.objects.select_related("place").get(pk=reading_id)
    watch = lock_watch(reading.place_id)
    reading.refresh_from_db()
    reason = " ".join(reason.split())
    if not reason:
        raise ServiceError("Say why it is left out.", field="reason")
    if not reading.left_out_reason:
        reading.left_out_reason = reason[:200]
        reading.save(update_fields=["left_out_reason"])
        mark_dirty(watch, reading.at)
        post_event(verb="conditions.leave_out", subject=reading, by=by, at=at, reason=reason)
    return reading


@transaction.atomic(durable=True)
def change_gap(*, place_id: int, gap_hours: int, by: Any, at: datetime) -> Watch:
    """Say how far apart two readings of a place may be before the time between is a gap."""
    if not 1 <= gap_hours <= 72:
        raise ServiceError("A gap is longer than 1 to 72 hours.", field="gap_hours")
    watch = lock_watch(place_id)
    before, watch.gap_hours = watch.gap_hours, gap_hours
    watch.save(update_fields=["gap_hours"])
    post_event(
        verb="conditions.gap", subject=Place.objects.get(pk=place_id), by=by, at=at,
        before={"gap_hours": before}, after={"gap_hours": gap_hours},
    )  # fmt: skip
    return watch
