"""Who may print labels, and who may open what their codes name."""

from __future__ import annotations

from uuid import uuid4

from stock.allocation.services import reserve_job
from tests.factories import AT, make_job, make_kit, make_lot, make_place, make_requirement
from tests.role_rows import Row, World, everybody, only


def lots() -> World:
    return World({}, query=f"?codes={make_lot(make_kit()).code}&layout=100x62&start=1")


def places() -> World:
    return World({}, query=f"?places={make_place().pk}&layout=a4-8&start=2")


def job() -> World:
    kit = make_kit()
    found = make_job(stage="won")
    make_requirement(found, kit, 1)
    make_lot(kit, 2)
    reserve_job(job_id=found.pk, by=None, at=AT)
    return World({"pk": found.pk}, {"layout": "100x62", "start": 1})


def lead() -> World:
    return World({"pk": make_job().pk}, {"layout": "100x62", "start": 1})


def lot() -> World:
    return World({"uid": make_lot(make_kit()).uid})


def no_lot() -> World:
    return World({"uid": uuid4()})


def place() -> World:
    return World({"pk": make_place().pk})


def no_place() -> World:
    return World({"pk": make_place("waste").pk})


PRINTS = only("owner", "storeman")
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
KEPT = ("stock.Reservation", "jobs.Event")
ROWS = [
    Row("labels:list", "GET", PRINTS),
    Row("labels:lots_pdf", "GET", PRINTS, lots),
    Row("labels:job", "GET", PRINTS, job),
    Row("labels:job", "POST", PRINTS, job, models=KEPT),
    Row("labels:job", "GET", GONE, lead, "other"),
    Row("labels:job", "POST", GONE, lead, "other", KEPT),
    Row("labels:places", "GET", PRINTS),
    Row("labels:places_pdf", "GET", PRINTS, places),
    Row("labels:open_lot", "GET", everybody(302), lot),
    Row("labels:open_lot", "GET", GONE, no_lot, "other"),
    Row("labels:open_place", "GET", everybody(302), place),
    Row("labels:open_place", "GET", GONE, no_place, "other"),
]
