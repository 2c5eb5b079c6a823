"""Who may print labels, and who may open what their codes name."""

from __future__ import annotations

from uuid import uuid4

from tests.factories import make_kit, make_lot, make_place
from tests.role_rows import Row, World, everybody, only


def lots() -> World:
    return World({}, query=f"?codes={make_lot(make_kit()).code}&layout=100x62&start=1")


def places() -> World:
    return World({}, query=f"?places={make_place().pk}&layout=a4-8&start=2")


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
ROWS = [
    Row("labels:list", "GET", PRINTS),
    Row("labels:lots_pdf", "GET", PRINTS, lots),
    Row("labels:places", "GET", PRINTS),
    Row("labels:places_pdf", "GET", PRINTS, places),
    Row("labels:open_lot", "GET", everybody(302), lot),
    Row("labels:open_lot", "GET", GONE, no_lot, "other"),
    Row("labels:open_place", "GET", everybody(302), place),
    Row("labels:open_place", "GET", GONE, no_place, "other"),
]
