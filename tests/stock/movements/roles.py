"""Who may pick, issue, bring back, waste, move, count and undo."""

from __future__ import annotations

from uuid import uuid4

from stock.allocation.services import reserve_job
from stock.ledger.models import Lot
from stock.movements.services import add_tin, issue_job, post_note, waste_stock
from tests.factories import (
    AT,
    DAY,
    make_job,
    make_kit,
    make_lot,
    make_place,
    make_requirement,
    make_stone,
)
from tests.role_rows import Row, World, everybody, only


def reserved() -> World:
    job, kit = make_job(stage="won"), make_kit()
    make_requirement(job, kit, 2)
    make_lot(kit, 3)
    reserve_job(job_id=job.pk, by=None, at=AT)
    return World({"pk": job.pk}, {"uid": uuid4(), "day": DAY, "phase": ""})


def at_site() -> World:
    world = reserved()
    issue_job(job_id=world.kwargs["pk"], key=uuid4(), day=DAY, by=None, at=AT)
    lot = Lot.objects.latest("pk")
    data = {"uid": uuid4(), "day": DAY, "place": make_place().pk, f"whole_{lot.pk}": "1"}
    return World(world.kwargs, data)


def posting() -> World:
    world = reserved()
    made = issue_job(job_id=world.kwargs["pk"], key=uuid4(), day=DAY, by=None, at=AT)
    return World({"pk": made.pk}, {"uid": uuid4(), "reason": "wrong job"})


def lot() -> World:
    bay = make_place()
    found = make_lot(make_kit(), 3, place=bay)
    data = {
        "uid": uuid4(), "from_place": bay.pk, "to_place": make_place("van").pk, "packs": "1",
        "reason": "torn",
    }  # fmt: skip
    return World({"pk": found.pk}, data)


def place() -> World:
    bay = make_place()
    found = make_lot(make_kit(), 3, place=bay)
    return World({"pk": bay.pk}, {"uid": uuid4(), f"lot_{found.pk}": "2"})


def wasted() -> World:
    bay = make_place()
    found = make_lot(make_kit(), 3, place=bay)
    made = waste_stock(
        lot_id=found.pk, place_id=bay.pk, quantity=1, reason="leaked", key=uuid4(), day=DAY,
        by=None, at=AT,
    )  # fmt: skip
    data = {
        "uid": uuid4(), "postings": [made.pk], "kind": "transfer", "number": "T-9",
        "carrier": "Orrford Skips", "registration": "CBDU-000", "taken_to": "Orrford",
        "taken_on": DAY, "words": "bags",
    }  # fmt: skip
    return World({}, data)


def noted() -> World:
    data = wasted().data
    made = post_note(posting_ids=data.pop("postings"), key=data.pop("uid"), by=None, at=AT, **data)
    return World({"pk": made.pk}, {"reason": "twice"})


def kit_lot() -> World:
    bay = make_place()
    found = make_lot(make_kit(), 3, place=bay)
    data = {"uid": uuid4(), "place": bay.pk, "part": "A", "count": "1", "why": "B leaked"}
    return World({"pk": found.pk}, data)


def stone_lot() -> World:
    return World({"pk": make_lot(make_stone()).pk}, {"uid": uuid4()})


def new_tin() -> World:
    data = {
        "uid": uuid4(), "item": make_kit().pk, "part": "A", "batch": "A7", "expiry": "2036-05-14",
        "place": make_place().pk, "count": "2", "why": "came alone",
    }  # fmt: skip
    return World({}, data)


def pair() -> World:
    kit, bay = make_kit(), make_place()
    tins = [
        add_tin(
            item_id=kit.pk, part=part, batch="", expiry=DAY.replace(year=2036), place_id=bay.pk,
            count=1, why="alone", key=uuid4(), by=None, at=AT,
        )
        for part in "AB"
    ]  # fmt: skip
    data = {
        "uid": uuid4(), "other": tins[1].pk, "count": "1", "place": bay.pk, "reason": "to the skip",
    }  # fmt: skip
    return World({"pk": tins[0].pk}, data)


def missing() -> World:
    return World({"pk": 999_999}, {"uid": uuid4()})


def not_won() -> World:
    return World({"pk": make_job(stage="quoted").pk}, {"uid": uuid4()})


STOREMAN = ("owner", "storeman")
BOOK = ("stock.Posting", "stock.Movement", "stock.Lot", "stock.Reservation", "jobs.CostEntry")
TINS = ("stock.Tin", "stock.Lot", "stock.Posting", "jobs.Event")
NOTES = ("stock.WasteNote", "stock.WasteNoteLine", "jobs.Event")
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
ROWS = [
    Row("movements:list", "GET", everybody()),
    Row("movements:bench", "GET", only(*STOREMAN)),
    Row("movements:scan", "GET", only(*STOREMAN, status=302)),
    Row("movements:waste_list", "GET", everybody()),
    Row("movements:note_new", "GET", only(*STOREMAN), wasted),
    Row("movements:note_new", "POST", only(*STOREMAN, status=302), wasted, models=NOTES),
    Row("movements:note", "GET", everybody(), noted),
    Row("movements:note", "GET", GONE, missing, "other"),
    Row("movements:note_void", "GET", only(*STOREMAN), noted),
    Row("movements:note_void", "POST", only(*STOREMAN, status=302), noted, models=NOTES),
    Row("movements:note_void", "POST", GONE, missing, "other", NOTES),
    Row("movements:dying", "GET", everybody()),
    Row("movements:tins", "GET", everybody()),
    Row("movements:tin_add", "GET", only(*STOREMAN)),
    Row("movements:tin_add", "POST", only(*STOREMAN, status=302), new_tin, models=TINS),
    *[
        row
        for name, make, other in (
            ("tin_keep", kit_lot, stone_lot), ("tin_pair", pair, missing),
            ("tin_scrap", pair, missing),
        )
        for row in (
            Row(f"movements:{name}", "GET", only(*STOREMAN), make),
            Row(f"movements:{name}", "POST", only(*STOREMAN, status=302), make, models=TINS),
            Row(f"movements:{name}", "POST", GONE, other, "other", TINS),
        )
    ],
    Row("movements:detail", "GET", everybody(), posting),
    Row("movements:detail", "GET", GONE, missing, "other"),
    Row("movements:pick", "GET", everybody(), reserved),
    Row("movements:pick", "GET", GONE, not_won, "other"),
    Row("movements:pick_pdf", "GET", everybody(), reserved),
    Row("movements:pick_pdf", "GET", GONE, not_won, "other"),
    Row("movements:picked", "POST", only(*STOREMAN, status=302), reserved, models=BOOK),
    Row("movements:picked", "POST", GONE, not_won, "other", BOOK),
    *[
        row
        for name, make, other in (
            ("issue", reserved, not_won), ("return", at_site, not_won), ("waste", lot, missing),
            ("transfer", lot, missing), ("count", place, missing), ("undo", posting, missing),
        )
        for row in (
            Row(f"movements:{name}", "GET", only(*STOREMAN), make),
            Row(f"movements:{name}", "POST", only(*STOREMAN, status=302), make, models=BOOK),
            Row(f"movements:{name}", "POST", GONE, other, "other", BOOK),
        )
    ],
]  # fmt: skip
