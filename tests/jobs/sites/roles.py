"""Who may see and change sites."""

from __future__ import annotations

from uuid import uuid4

from jobs.sites.rules import QUESTIONS
from tests.factories import AT, make_customer, make_site
from tests.role_rows import Row, World, everybody, only

OFFICE = only("owner", "office")
DONE = only("owner", "office", status=302)
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
TABLES = ("jobs.Site", "jobs.Event")
FORM = {"address": "4 Mill Lane, Orrford", **dict.fromkeys(QUESTIONS, "yes")}


def new() -> World:
    return World({"customer": make_customer().pk}, FORM | {"uid": str(uuid4())})


def of_nobody() -> World:
    return World({"customer": make_customer(archived_at=AT).pk}, FORM | {"uid": str(uuid4())})


def site() -> World:
    return World({"pk": make_site().pk}, FORM | {"version": "1"})


def archived() -> World:
    return World({"pk": make_site(archived_at=AT).pk}, FORM | {"version": "1"})


def of_erased() -> World:
    return World({"pk": make_site(make_customer(erased_at=AT)).pk}, FORM | {"version": "1"})


ROWS = [
    Row("sites:list", "GET", everybody()),
    Row("sites:detail", "GET", everybody(), site),
    Row("sites:detail", "GET", GONE, of_erased, "other"),
    Row("sites:create", "GET", OFFICE, new),
    Row("sites:create", "POST", DONE, new, models=TABLES),
    Row("sites:create", "POST", GONE, of_nobody, "other", TABLES),
    Row("sites:edit", "GET", OFFICE, site),
    Row("sites:edit", "POST", DONE, site, models=TABLES),
    Row("sites:edit", "POST", GONE, archived, "other", TABLES),
    Row("sites:archive", "GET", OFFICE, site),
    Row("sites:archive", "POST", DONE, site, models=TABLES),
    Row("sites:archive", "POST", GONE, archived, "other", TABLES),
    Row("sites:restore", "POST", DONE, archived, models=TABLES),
    Row("sites:restore", "POST", GONE, of_erased, "other", TABLES),
]
