"""One reading for each place and instant, whoever sends it and however often."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction

from jobs.audit.models import Event
from jobs.kernel.errors import ServiceError
from stock.conditions.models import Reading, ReadingFile, Watch
from stock.conditions.services import (
    NewReading,
    add_reading,
    change_gap,
    clashes_of,
    drop_file,
    forget_old_files,
    hash_of,
    look_at_file,
    renew_token,
    send_readings,
    stop_sensor,
    take_file,
)
from tests.factories import AT, make_place
from tests.stock.conditions.world import make_sensor

pytestmark = pytest.mark.django_db
GOOD = "time,celsius\n2026-05-13 09:00,21\n2026-05-13 09:30,21.5\n"
BAD = f"{GOOD}2026-05-13 10:00,warm\n"


def add(place: Any, celsius: str = "21", **fields: Any) -> Reading:
    values: dict[str, Any] = {
        "place_id": place.pk, "celsius": Decimal(celsius), "humidity": None, "measured_at": AT,
        "by": None, "at": AT,
    }  # fmt: skip
    return add_reading(**values | fields)


def look(place: Any, text: str = GOOD, **fields: Any) -> ReadingFile:
    values: dict[str, Any] = {
        "place_id": place.pk, "name": "log.csv", "data": text.encode(), "unit": "",
        "key": uuid4(), "by": None, "at": AT,
    }  # fmt: skip
    return look_at_file(**values | fields)


def take(file: ReadingFile, *, whole: bool = True) -> ReadingFile:
    return take_file(file_id=file.pk, whole=whole, by=None, at=AT)


def test_typed_twice_is_one_and_another_figure_is_refused() -> None:
    place = make_place()
    assert add(place) == add(place)
    assert Event.objects.filter(verb="conditions.read").count() == 1
    with pytest.raises(ServiceError, match=r"a reading of 21\.00 °C at that time already"):
        add(place, "22")
    assert Watch.objects.get().dirty_from == AT


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"celsius": Decimal(81)}, "celsius"), ({"celsius": Decimal("-40.01")}, "celsius"),
        ({"humidity": Decimal(101)}, "humidity"),
        ({"measured_at": AT + timedelta(minutes=11)}, "measured_at"),
        ({"measured_at": AT - timedelta(days=733)}, "measured_at"),
        ({"measured_at": AT.replace(year=1999)}, "measured_at"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_a_sentence_at_its_field(fields: dict[str, Any], field: str) -> None:
    with pytest.raises(ServiceError) as refusal:
        add(make_place(), **fields)
    assert refusal.value.field == field
    assert not Reading.objects.exists()


def test_the_database_keeps_one_for_each_instant() -> None:
    reading = add(make_place())
    reading.pk = None
    with pytest.raises(IntegrityError), transaction.atomic():
        reading.save(force_insert=True)


def test_a_file_is_looked_at_and_then_taken_once() -> None:
    place = make_place()
    file = look(place)
    assert (len(file.rows), file.bad, Reading.objects.count()) == (2, [], 0)
    for _ in range(2):
        taken = take(file)
    assert (taken.state, taken.new, taken.known, Reading.objects.count()) == ("taken", 2, 0, 2)
    again = take(look(place))
    assert (again.new, again.known, Reading.objects.count()) == (0, 2, 2)


def test_a_file_with_bad_rows_is_taken_without_them_or_not_at_all() -> None:
    file = look(make_place(), BAD)
    assert file.bad == [[4, "'warm' is no temperature."]]
    with pytest.raises(ServiceError, match="1 of its rows cannot be used"):
        take(file)
    assert not Reading.objects.exists()
    assert take(file, whole=False).new == 2


def test_a_reading_that_contradicts_is_kept_out_and_named() -> None:
    place = make_place()
    add(place, "30", measured_at=AT.replace(day=13))
    file = look(place)
    assert clashes_of(file) == (0, 1)
    with pytest.raises(ServiceError, match="1 of its readings contradict"):
        take(file)
    taken = take(file, whole=False)
    assert taken.new == 1
    assert Reading.objects.get(at=AT.replace(day=13)).celsius == 30
    assert taken.bad == [
        [None, "21.00 °C at 2026-05-13 08:00 UTC: another figure is there already."]
    ]


def test_a_dropped_or_forgotten_file_is_not_taken() -> None:
    place = make_place()
    file = look(place)
    drop_file(file_id=file.pk, by=None, at=AT)
    with pytest.raises(ServiceError, match="was dropped"):
        take(file)
    old = look(place)
    assert forget_old_files(at=AT + timedelta(days=6)) == 0
    assert forget_old_files(at=AT + timedelta(days=8)) == 1
    with pytest.raises(ServiceError, match="was dropped"):
        take(old)


@pytest.mark.parametrize("text", ["", "a,b\n1,2", "time,temp\n2026-05-13 09:00,21", "\x00"])
def test_a_file_that_is_no_log_is_a_sentence_at_its_field(text: str) -> None:
    with pytest.raises(ServiceError) as refusal:
        look(make_place(), text)
    assert refusal.value.field == "file"
    with pytest.raises(ServiceError, match="more than 5 MB"):
        look(make_place(), "x" * (5 * 1024 * 1024 + 1))


def test_a_token_is_kept_as_its_hash_only() -> None:
    sensor, token = make_sensor()
    assert sensor.token_hash == hash_of(token)
    assert token not in str(sensor.__dict__)
    _, newer = renew_token(sensor_id=sensor.pk, by=None, at=AT)
    sensor.refresh_from_db()
    assert sensor.token_hash == hash_of(newer) != hash_of(token)


def test_a_stopped_sensor_sends_nothing_and_gets_no_token() -> None:
    sensor, _ = make_sensor()
    stop_sensor(sensor_id=sensor.pk, by=None, at=AT)
    with pytest.raises(ServiceError, match="was stopped"):
        send_readings(sensor_id=sensor.pk, rows=[NewReading(AT, Decimal(20))], at=AT)
    with pytest.raises(ServiceError, match="was stopped"):
        renew_token(sensor_id=sensor.pk, by=None, at=AT)


def test_a_contradiction_refuses_all_that_was_sent() -> None:
    place = make_place()
    sensor, _ = make_sensor(place)
    add(place, "21")
    rows = [
        NewReading(AT - timedelta(hours=1), Decimal("20.00")), NewReading(AT, Decimal("22.00")),
    ]  # fmt: skip
    with pytest.raises(ServiceError, match="Another figure"):
        send_readings(sensor_id=sensor.pk, rows=rows, at=AT)
    assert Reading.objects.count() == 1


@pytest.mark.parametrize("hours", [0, -1, 73])
def test_a_gap_is_of_some_hours(hours: int) -> None:
    with pytest.raises(ServiceError) as refusal:
        change_gap(place_id=make_place().pk, gap_hours=hours, by=None, at=AT)
    assert refusal.value.field == "gap_hours"
