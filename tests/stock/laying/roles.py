"""Who may see and keep the lay days.

The crew lead of these rows leads no crew, so that each day here is another's to him: 404. That he
gets his own is in test_views.
"""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any
from uuid import uuid4

from django.utils import timezone

from jobs.kernel.clock import london_day
from stock.laying.models import Discrepancy, LayBay, LayDay, Mix
from tests.factories import AT, make_blend, make_booking, make_job, make_place
from tests.role_rows import Row, World, only


def job() -> dict[str, Any]:
    today = london_day(timezone.now())
    made = make_job(stage="booked")
    make_booking(made, day=today)
    return {"job": made.pk, "day": today.isoformat()}


def booked() -> World:
    return World(job())


def unbooked() -> World:
    return World(job() | {"job": 999_999})


def lay_day(**fields: Any) -> LayDay:
    today = london_day(timezone.now())
    made = make_job(stage="on_site")
    make_booking(made, day=today)
    values: dict[str, Any] = {
        "base_accepted_at": AT, "air_c": Decimal("18.0"), "surface_c": Decimal("16.0"),
        "humidity_percent": Decimal("60.0"),
    }  # fmt: skip
    return LayDay.objects.create(job=made, day=today, **values | fields)


def day_with(**data: Any) -> Callable[[], World]:
    def make() -> World:
        return World({"pk": lay_day().pk}, data)

    return make


def missing() -> World:
    return World({"pk": 999_999})


def closed() -> World:
    return World({"pk": lay_day(closed_at=AT).pk})


def bay_of(day: LayDay) -> LayBay:
    return LayBay.objects.create(lay_day=day, name="A", blend=make_blend())


def bay() -> World:
    return World({"pk": bay_of(lay_day()).pk}, {"area_m2": "12.5"})


def first_bay() -> World:
    make_blend()
    return World({"pk": lay_day().pk}, {"name": "A"})


def to_tap() -> World:
    day = lay_day()
    return World({"pk": day.pk}, {"bay": bay_of(day).pk, "uid": uuid4()})


def mix() -> World:
    day = lay_day()
    made = bay_of(day)
    assert made.blend is not None
    found = Mix.objects.create(
        uid=uuid4(), lay_day=day, bay=made, blend=made.blend, number=1, started_at=AT, logged_at=AT
    )
    return World({"pk": found.pk})


def evening() -> World:
    return World({"pk": lay_day().pk}, {"uid": uuid4(), "place": make_place().pk})


def difference() -> World:
    found = Discrepancy.objects.create(lay_day=lay_day(), what="One kit is missing.", found_at=AT)
    return World({"pk": found.pk}, {"answer": "In the other van."})


UNSEEN = {"crew": 404, "accountant": 404, "stranger": 404}
SEEN = only("owner", "office", "storeman") | UNSEEN
NOBODYS = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
READINGS = {"air_c": "18", "surface_c": "16", "humidity_percent": "60"}
DAYS = ("stock.LayDay", "stock.LayBay", "stock.Mix", "stock.Discrepancy", "jobs.Event")


def get(name: str, make: Callable[[], World]) -> Row:
    return Row(f"laying:{name}", "GET", only("owner") | UNSEEN, make)


def post(name: str, make: Callable[[], World]) -> Row:
    return Row(f"laying:{name}", "POST", only("owner", status=302) | UNSEEN, make, models=DAYS)


ROWS = [
    Row("laying:list", "GET", only("owner", "office", "storeman", "crew")),
    get("open", booked),
    post("open", booked),
    Row("laying:open", "POST", NOBODYS, unbooked, "other", DAYS),
    Row("laying:sheet", "GET", SEEN, booked),
    Row("laying:sheet_pdf", "GET", SEEN, booked),
    Row("laying:day", "GET", SEEN, day_with()),
    Row("laying:day", "GET", NOBODYS, missing, "other"),
    get("base", day_with()),
    post("base", day_with(**READINGS)),
    get("add_bay", day_with()),
    post("add_bay", first_bay),
    post("mix", to_tap),
    Row("laying:mix", "POST", NOBODYS, missing, "other", DAYS),
    get("evening", day_with()),
    post("evening", evening),
    get("close", day_with()),
    post("close", day_with()),
    get("reopen", closed),
    post("reopen", closed),
    get("bay_full", bay),
    post("bay_full", bay),
    get("undo_mix", mix),
    post("undo_mix", mix),
    get("spilt", mix),
    post("spilt", mix),
    Row("laying:differences", "GET", only("owner", "storeman")),
    Row("laying:answer", "GET", only("owner", "storeman"), difference),
    Row("laying:answer", "POST", only("owner", "storeman", status=302), difference, models=DAYS),
    Row("laying:answer", "POST", NOBODYS, missing, "other", DAYS),
]
