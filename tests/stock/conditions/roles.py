"""Who may see conditions, add readings, answer excursions, manage sensors, and hold with photos."""

from __future__ import annotations

from uuid import uuid4

from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile

from jobs.kernel.clock import now
from stock.conditions.models import Reading
from stock.conditions.services import look_at_file
from tests.factories import AT, make_kit, make_lot, make_place
from tests.role_rows import ROLES, Row, World, everybody, only
from tests.stock.conditions.world import make_sensor, read, too_hot

LOG = b"time,celsius\n2026-05-13 09:00,21\n"


def place() -> World:
    data = {
        "uid": uuid4(), "celsius": "21.5", "humidity": "", "gap_hours": "12",
        "measured_at": f"{now():%Y-%m-%dT%H:%M}",
    }  # fmt: skip
    return World({"pk": make_place().pk}, data)


def site() -> World:
    """A place that is neither bay nor van is not watched."""
    return World({"pk": make_place("waste").pk}, {"uid": uuid4()})


def log() -> World:
    return World(
        {"pk": make_place().pk},
        {"uid": uuid4(), "unit": "", "file": SimpleUploadedFile("log.csv", LOG)},
    )


def looked_at() -> World:
    file = look_at_file(
        place_id=make_place().pk, name="log.csv", data=LOG, unit="", key=uuid4(), by=None, at=AT
    )
    return World({"pk": file.pk}, {"rows": "whole"})


def reading() -> World:
    read(make_place(), [(0, 21)])
    return World({"pk": Reading.objects.latest("pk").pk}, {"reason": "probe in the sun"})


def excursion() -> World:
    return World({"pk": too_hot()[2].pk}, {"outcome": "kept", "finding": "The maker says no."})


def sensor() -> World:
    return World({"pk": make_sensor()[0].pk})


def new_sensor() -> World:
    return World({}, {"uid": uuid4(), "name": "probe", "place": make_place().pk})


def lot() -> World:
    photo = SimpleUploadedFile("bag.pdf", b"%PDF-1.7 bag")
    return World(
        {"pk": make_lot(make_kit()).pk}, {"uid": uuid4(), "cause": "damp_bag", "file": photo}
    )


def missing() -> World:
    return World({"pk": 999_999}, {"uid": uuid4(), "reason": "x"})


def no_token() -> World:
    cache.clear()
    return World({}, {"celsius": "21"})


STOREMAN = ("owner", "storeman")
READINGS = ("stock.Reading", "stock.ReadingFile", "stock.Watch")
HELD = ("stock.Excursion", "stock.ExcursionLot", "stock.Lot", "jobs.Attachment")
SENSORS = ("stock.Sensor",)
ALL = (*READINGS, *HELD, *SENSORS)
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
ROWS = [
    Row("conditions:list", "GET", everybody()),
    Row("conditions:readings", "GET", everybody()),
    Row("conditions:excursions", "GET", everybody()),
    Row("conditions:vans", "GET", everybody()),
    Row("conditions:place", "GET", everybody(), place),
    Row("conditions:place", "GET", GONE, site, "other"),
    Row("conditions:excursion", "GET", everybody(), excursion),
    Row("conditions:excursion", "GET", GONE, missing, "other"),
    Row("conditions:file", "GET", only(*STOREMAN), looked_at),
    Row("conditions:file", "GET", GONE, missing, "other"),
    Row("conditions:sensors", "GET", only(*STOREMAN)),
    Row("conditions:add_sensor", "GET", only(*STOREMAN)),
    # Answered with the token itself, not with a redirect.
    Row("conditions:add_sensor", "POST", only(*STOREMAN), new_sensor, models=SENSORS),
    Row("conditions:renew", "POST", only(*STOREMAN), sensor, models=SENSORS),
    # The token is the key, not the log-in: without one nobody gets through.
    Row("conditions:send", "POST", dict.fromkeys(ROLES, 401), no_token, models=ALL),
    Row("conditions:send", "POST", dict.fromkeys(ROLES, 401), no_token, "other", ALL),
    Row("conditions:take", "POST", only(*STOREMAN, status=302), looked_at, models=READINGS),
    Row("conditions:take", "POST", GONE, missing, "other", READINGS),
    Row("conditions:drop", "POST", only(*STOREMAN, status=302), looked_at, models=READINGS),
    Row("conditions:drop", "POST", GONE, missing, "other", READINGS),
    Row("conditions:renew", "GET", only(*STOREMAN), sensor),
    Row("conditions:renew", "POST", GONE, missing, "other", SENSORS),
    *[
        row
        for name, make, other, models in (
            ("add", place, site, READINGS), ("gap", place, site, READINGS),
            ("import", log, site, READINGS), ("leave_out", reading, missing, READINGS),
            ("answer", excursion, missing, HELD), ("stop", sensor, missing, SENSORS),
            ("hold", lot, missing, HELD), ("photos", lot, missing, HELD),
        )
        for row in (
            Row(f"conditions:{name}", "GET", only(*STOREMAN), make),
            Row(f"conditions:{name}", "POST", only(*STOREMAN, status=302), make, models=models),
            Row(f"conditions:{name}", "POST", GONE, other, "other", models),
        )
    ],
]  # fmt: skip
