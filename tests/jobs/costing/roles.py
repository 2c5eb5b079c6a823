"""Who may see costs, take them away, and enter hours."""

from __future__ import annotations

from uuid import uuid4

from jobs.costing.services import enter_hours
from tests.factories import AT, DAY, make_job, make_person
from tests.role_rows import Row, World, only


def job() -> World:
    return World({"pk": make_job(stage="won").pk})


def file() -> World:
    return World({"kind": "csv"})


def missing() -> World:
    return World({"pk": 999_999})


def hours_form() -> World:
    data = {
        "job": make_job(stage="won").pk, "person": make_person().pk, "day": DAY, "kind": "work",
        "hours": "8", "uid": uuid4(),
    }  # fmt: skip
    return World({}, data)


def hours() -> World:
    made = enter_hours(
        job_id=make_job(stage="won").pk, person_id=make_person().pk, day=DAY, kind="work",
        minutes=60, uid=uuid4(), by=None, at=AT,
    )  # fmt: skip
    return World({"pk": made.pk})


MONEY = ("owner", "accountant")
ENTER = ("owner", "office", "accountant", "crew")
HOURS = ("jobs.Hours", "jobs.CostEntry")
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
ROWS = [
    Row("costing:list", "GET", only(*MONEY)),
    Row("costing:job", "GET", only(*MONEY), job),
    Row("costing:job", "GET", GONE, missing, "other"),
    Row("costing:categories", "GET", only(*MONEY)),
    Row("costing:file", "GET", only(*MONEY), file),
    Row("costing:hours", "GET", only(*ENTER)),
    Row("costing:hours_create", "GET", only(*ENTER)),
    Row("costing:hours_create", "POST", only(*ENTER, status=302), hours_form, models=HOURS),
    Row("costing:withdraw", "GET", only(*ENTER), hours),
    Row("costing:withdraw", "POST", only(*ENTER, status=302), hours, models=HOURS),
    Row("costing:withdraw", "POST", GONE, missing, "other", HOURS),
]
