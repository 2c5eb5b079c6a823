"""Who may see the yard, and hold and release lots."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

from django.db import transaction
from django.utils import timezone

from stock.ledger.services import keep_back, post_hold
from tests.factories import AT, make_job, make_kit, make_lot, make_stone
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


def to_keep() -> World:
    until = timezone.localdate() + timedelta(days=365)
    data = {"uid": uuid4(), "job": make_job().reference, "packs": "2", "until": until}
    return World({"pk": make_lot(make_stone()).pk}, data)


def kept() -> World:
    lot = make_lot(make_stone())
    until = AT.date() + timedelta(days=365)
    row = keep_back(
        lot_id=lot.pk, job_id=make_job().pk, quantity=20_000, until=until, key=uuid4(), by=None,
        at=AT,
    )  # fmt: skip
    later = timezone.localdate() + timedelta(days=400)
    return World({"pk": row.pk}, {"reason": "guarantee over", "until": later})


def code() -> World:
    return World({}, query="?code=L-0000")


STOREMAN = ("owner", "storeman")
LOTS = ("stock.Lot", "stock.Movement")
KEPT = ("stock.Lot", "stock.KeptBack", "jobs.Event")
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
    Row("ledger:kept_back", "GET", everybody()),
    Row("ledger:keep_back", "GET", only(*STOREMAN), to_keep),
    Row("ledger:keep_back", "POST", only(*STOREMAN, status=302), to_keep, models=KEPT),
    Row("ledger:keep_back", "POST", GONE, missing, "other", KEPT),
    Row("ledger:extend_kept", "GET", only(*STOREMAN), kept),
    Row("ledger:extend_kept", "POST", only(*STOREMAN, status=302), kept, models=KEPT),
    Row("ledger:extend_kept", "POST", GONE, missing, "other", KEPT),
    Row("ledger:release_kept", "GET", only(*STOREMAN), kept),
    Row("ledger:release_kept", "POST", only(*STOREMAN, status=302), kept, models=KEPT),
    Row("ledger:release_kept", "POST", GONE, missing, "other", KEPT),
]
