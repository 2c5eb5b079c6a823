"""Sensors: who may send readings of a place, by a token that is shown once."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Sequence
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from jobs.audit.services import post_event
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import claim_key, finish_key
from stock.conditions.enums import Source
from stock.conditions.models import Sensor
from stock.conditions.services.readings import (
    KeptReadings,
    NewReading,
    lock_watch,
    post_readings,
)

TOKEN_BYTES = 32
KIND = "stock.conditions.sensor"


def hash_of(token: str) -> str:
    """Return the hash of a token; it has 256 random bits, so that no salt is needed."""
    return hashlib.sha256(token.encode()).hexdigest()


@transaction.atomic(durable=True)
def add_sensor(*, name: str, place_id: int, key: UUID, by: Any, at: datetime) -> tuple[Sensor, str]:
    """Add a sensor; returns it with its token, which nothing can show again.

    The same key again is refused, for the same reason.
    """
    inputs = {"name": name, "place": place_id}
    if claim_key(key=key, kind=KIND, inputs=inputs, at=at) is not None:
        raise ServiceError(
            "This sensor was added already, and its token was shown. Give it a new token if it "
            "was not noted.",
            code="again",
        )
    token = secrets.token_urlsafe(TOKEN_BYTES)
    sensor = Sensor(
        name=" ".join(name.split()), place_id=place_id, token_hash=hash_of(token),
        token_end=token[-4:], created_at=at,
    )  # fmt: skip
    sensor.full_clean()
    sensor.save()
    finish_key(key=key, result=sensor.pk)
    post_event(verb="conditions.add_sensor", subject=sensor, by=by, at=at)
    return sensor, token


@transaction.atomic(durable=True)
def renew_token(*, sensor_id: int, by: Any, at: datetime) -> tuple[Sensor, str]:
    """Give a sensor a new token; the old one ends at once."""
    sensor = Sensor.objects.select_for_update(no_key=True).get(pk=sensor_id)
    if sensor.stopped_at is not None:
        raise ServiceError(f"{sensor} was stopped. Add it again.")
    token = secrets.token_urlsafe(TOKEN_BYTES)
    sensor.token_hash, sensor.token_end = hash_of(token), token[-4:]
    sensor.save(update_fields=["token_hash", "token_end"])
    post_event(verb="conditions.renew_token", subject=sensor, by=by, at=at)
    return sensor, token


@transaction.atomic(durable=True)
def stop_sensor(*, sensor_id: int, by: Any, at: datetime) -> Sensor:
    """Refuse what a sensor sends from now on; its readings stay."""
    sensor = Sensor.objects.select_for_update(no_key=True).get(pk=sensor_id)
    if sensor.stopped_at is None:
        sensor.stopped_at = at
        sensor.save(update_fields=["stopped_at"])
        post_event(verb="conditions.stop_sensor", subject=sensor, by=by, at=at)
    return sensor


@transaction.atomic(durable=True)
def send_readings(
    *, sensor_id: int, rows: Sequence[NewReading], at: datetime
) -> KeptReadings:  # fmt: skip
    """Keep what a sensor sends; any contradiction refuses all of it."""
    sensor = Sensor.objects.get(pk=sensor_id)
    watch = lock_watch(sensor.place_id)
    sensor.refresh_from_db()
    if sensor.stopped_at is not None:
        raise ServiceError("This sensor was stopped.", code="stopped")
    kept = post_readings(
        watch=watch, rows=rows, source=Source.SENSOR, by=None, at=at, sensor=sensor
    )
    if kept.clashes:
        row = kept.clashes[0]
        raise ServiceError(
            f"Another figure than {row.celsius} °C is kept for {row.at.isoformat()}.", code="clash"
        )
    Sensor.objects.filter(pk=sensor.pk).update(last_sent_at=at)
    return kept
