"""Who may see and change people."""

from __future__ import annotations

from uuid import uuid4

from tests.factories import AT, DAY, make_crew, make_person
from tests.role_rows import Row, World, only


def new() -> World:
    return World({}, {"name": "New", "hourly": "21", "valid_from": DAY})


def person() -> World:
    data = {"name": "Changed", "hourly": "23", "valid_from": DAY, "version": 1}
    return World({"pk": make_person().pk}, data)


def left() -> World:
    return World({"pk": make_person(archived_at=AT).pk})


def crew() -> World:
    return World({"pk": make_crew().pk}, {"name": "North", "version": 1})


def missing() -> World:
    return World({"pk": 999_999}, {"name": "Changed"})


OFFICE = ("owner", "office")
PEOPLE = ("jobs.Person", "jobs.PayRate", "jobs.Crew", "jobs.Resource")
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
ROWS = [
    Row("people:list", "GET", only(*OFFICE, "accountant")),
    Row("people:create", "GET", only(*OFFICE)),
    Row("people:create", "POST", only(*OFFICE, status=302), new, models=PEOPLE),
    Row("people:edit", "GET", only(*OFFICE), person),
    Row("people:edit", "POST", only(*OFFICE, status=302), person, models=PEOPLE),
    Row("people:edit", "POST", GONE, missing, "other", PEOPLE),
    Row("people:rate", "GET", only("owner", "accountant"), person),
    Row("people:rate", "POST", only("owner", "accountant", status=302), person, models=PEOPLE),
    Row("people:crew", "GET", only(*OFFICE)),
    Row(
        "people:crew",
        "POST",
        only(*OFFICE, status=302),
        lambda: World({}, {"name": "North", "uid": uuid4()}),
        models=PEOPLE,
    ),
    Row("people:archive", "GET", only(*OFFICE), person),
    Row("people:archive", "POST", only(*OFFICE, status=302), person, models=PEOPLE),
    Row("people:archive", "POST", GONE, missing, "other", PEOPLE),
    Row("people:restore", "POST", only(*OFFICE, status=302), left, models=PEOPLE),
    Row("people:crew_edit", "GET", only(*OFFICE), crew),
    Row("people:crew_edit", "POST", only(*OFFICE, status=302), crew, models=PEOPLE),
    Row("people:crew_edit", "GET", GONE, missing, "other"),
    Row("people:crew_archive", "GET", only(*OFFICE), crew),
    Row("people:crew_archive", "POST", only(*OFFICE, status=302), crew, models=PEOPLE),
]
