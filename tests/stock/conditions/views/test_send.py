"""What a sensor sends: kept once, or refused with a sentence; never a crash."""

from __future__ import annotations

import json
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from jobs.kernel.clock import now
from stock.conditions.models import Reading, Sensor
from stock.conditions.services import stop_sensor
from stock.conditions.views import send as module
from tests.factories import AT
from tests.stock.conditions.world import make_sensor

pytestmark = pytest.mark.django_db


@pytest.fixture
def sensor() -> Any:
    cache.clear()
    return make_sensor()


def send(token: str, body: Any, **headers: str) -> Any:
    """Send as a device does: no log-in, no cookie, and the CSRF check of a browser switched on."""
    data = body if isinstance(body, bytes | str) else json.dumps(body)
    client = Client(enforce_csrf_checks=True)
    return client.post(
        reverse("conditions:send"), data, content_type="application/json",
        headers={"Authorization": f"Bearer {token}"} | headers,
    )  # fmt: skip


def test_a_reading_is_kept_for_the_sensors_place(sensor: Any) -> None:
    device, token = sensor
    at = now().replace(microsecond=0) - timedelta(minutes=5)
    answer = send(token, {"at": at.isoformat(), "celsius": 21.37, "humidity": 48.24})
    assert answer.status_code == 201
    assert answer.json() == {"sentence": "Kept 1; 0 were there.", "new": 1, "known": 0}
    reading = Reading.objects.get()
    assert (reading.place, reading.at, reading.sensor) == (device.place, at, device)
    assert (reading.celsius, reading.humidity) == (Decimal("21.37"), Decimal("48.2"))
    device.refresh_from_db()
    assert device.last_sent_at is not None


def test_sent_again_it_is_kept_once_and_another_figure_is_409(sensor: Any) -> None:
    _, token = sensor
    at = now().isoformat()
    assert send(token, {"at": at, "celsius": 21}).status_code == 201
    again = send(token, {"at": at, "celsius": 21})
    assert (again.status_code, again.json()["known"]) == (201, 1)
    other = send(token, {"at": at, "celsius": 22})
    assert other.status_code == 409
    assert "Another figure than 22.00 °C is kept" in other.json()["sentence"]
    assert Reading.objects.count() == 1


def test_many_at_once_in_fahrenheit_and_without_a_time(sensor: Any) -> None:
    _, token = sensor
    at = now()
    rows = [
        {"at": (at - timedelta(minutes=n)).isoformat(), "fahrenheit": 68 + n} for n in range(1, 4)
    ]
    assert send(token, {"readings": [*rows, {"celsius": 4}]}).json()["new"] == 4
    assert set(Reading.objects.values_list("celsius", flat=True)) == {
        Decimal("20.56"), Decimal("21.11"), Decimal("21.67"), Decimal("4.00"),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("body", "sentence"),
    [
        (b"", "not JSON"), (b"\xff", "not JSON"), (b"[" * 100_000, "not JSON"),
        (b'{"celsius": NaN}', "not JSON"), (b'{"celsius": 1e999999999999999999999}', ""),
        ("[]", "Send an object"), ("null", "Send an object"), ("{}", "'celsius' or 'fahrenheit'"),
        ({"celsius": "21"}, "'celsius' is a figure"), ({"celsius": True}, "is a figure"),
        ({"celsius": 21, "fahrenheit": 70}, "one of them"), ({"celsius": 81}, "between -40 and 80"),
        ({"celsius": 21, "humidity": 101}, "between 0 and 100"),
        ({"celsius": 21, "at": "2026-05-14T09:00"}, "offset"),
        ({"celsius": 21, "at": "soon"}, "ISO 8601"), ({"celsius": 21, "at": 5}, "ISO 8601"),
        ({"celsius": 21, "at": "0001-01-01T00:00+23:59"}, "century"),
        ({"celsius": 21, "at": "2199-01-01T00:00Z"}, "lies ahead"),
        ({"readings": []}, "a list of 1"), ({"readings": "x"}, "a list of 1"),
        ({"readings": [{"celsius": 21}, 5]}, "Reading 2: A reading is an object."),
        ({"readings": [{"celsius": 1}] * 501}, "a list of 1 to 500"),
    ],
)  # fmt: skip
def test_what_is_not_understood_is_400_with_a_sentence(
    body: Any, sentence: str, sensor: Any
) -> None:
    answer = send(sensor[1], body)
    assert answer.status_code == 400
    assert sentence in answer.json()["sentence"]
    assert answer.json()["sentence"].endswith(".")
    assert not Reading.objects.exists()


def test_without_a_valid_token_401(sensor: Any) -> None:
    device, token = sensor
    body = {"celsius": 21}
    assert send("", body).status_code == 401
    assert send(token[:-1], body).status_code == 401
    assert send(device.token_hash, body).status_code == 401
    assert send(token, body, Authorization=f"Basic {token}").status_code == 401
    refused = send(f"{token}é", body)
    assert (refused.status_code, refused["WWW-Authenticate"]) == (401, "Bearer")
    stop_sensor(sensor_id=device.pk, by=None, at=AT)
    assert send(token, body).status_code == 401
    assert not Reading.objects.exists()


def test_too_much_and_too_often(sensor: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    _, token = sensor
    assert send(token, b" " * (module.MOST_BYTES + 1)).status_code == 413
    monkeypatch.setattr(module, "MOST_A_MINUTE", 3)
    statuses = [send("wrong", {"celsius": 21}).status_code for _ in range(6)]
    assert statuses[-1] == 429
    assert send(token, {"celsius": 21})["Retry-After"] == "60"


def test_only_post(sensor: Any) -> None:
    assert Client().get(reverse("conditions:send")).status_code == 405


json_values = st.recursive(
    st.none() | st.booleans() | st.floats() | st.integers() | st.text(max_size=20),
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["at", "celsius", "fahrenheit", "humidity", "readings"]),
            inner,
            max_size=4,
        )
    ),
    max_leaves=8,
)


@given(st.binary(max_size=200) | json_values.map(lambda value: json.dumps(value).encode()))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None)
def test_any_body_is_kept_or_refused(sensor: Any, body: bytes) -> None:
    cache.clear()
    assert send(sensor[1], body).status_code in {201, 400, 409}
    assert Sensor.objects.count() == 1
