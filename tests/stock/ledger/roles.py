"""Who may see the yard, and hold and release lots."""

from __future__ import annotations

from django.db import transaction

from stock.ledger.services import post_hold
from tests.factories import AT, make_kit, make_lot
from tests.role_rows import Row, World, everybody, only


def lot() -> World:
    return World({"pk": make_lot(make_kit()).pk}, {"reason": "torn wrap"})


def held() -> World:
    found = make_lot(make_kit(shelf_life_months=None), expiry=AT.date().replace(year=2036))
    with transaction.atomic():
        post_hold(lot=found, reason="torn", by=None, at=AT)
    return World({"pk": found.pk}, {"reason": "wrap only"})


def missing() -> World:
    return World({"pk": 999_999}, {"reason": "x"})


def code() -> World:
    return World({}, query="?code=L-0000")


STOREMAN = ("owner", "storeman")
LOTS = ("stock.Lot", "stock.Movement")
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
ROWS = [
    Row("ledger:list", "GET", everybody()),
    Row("ledger:scan", "GET", everybody(302), code),
    Row("ledger:detail", "GET", everybody(), lot),
    Row("ledger:detail", "GET", GONE, missing, "other"),
    Row("ledger:hold", "GET", only(*STOREMAN), lot),
    Row("ledger:hold", "POST", only(*STOREMAN, status=302), lot, models=LOTS),
    Row("ledger:hold", "POST", GONE, missing, "other", LOTS),
    Row("ledger:release", "GET", only(*STOREMAN), held),
    Row("ledger:release", "POST", only(*STOREMAN, status=302), held, models=LOTS),
    Row("ledger:release", "POST", GONE, missing, "other", LOTS),
]
