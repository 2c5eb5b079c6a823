"""Who may see claims, and take them step by step to their end."""

from __future__ import annotations

from uuid import uuid4

from django.core.files.uploadedfile import SimpleUploadedFile

from stock.claims.services import close_claim
from tests.jobs.attachments.files import photo
from tests.role_rows import Row, World, only
from tests.stock.claims.world import answered, claim, delivery, told
from tests.stock.ordering.services.test_goods_in import LATER

SEE = only("owner", "office", "storeman", "accountant")
WRITE = only("owner", "office", "storeman")
DONE = only("owner", "office", "storeman", status=302)
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
TABLES = ("stock.Claim", "jobs.Event", "jobs.NumberSeries", "jobs.PostingKey")


def to_claim() -> World:
    goods_in = delivery()
    line = goods_in.lines.get(outcome="refused")
    data = {"uid": str(uuid4()), "lines": [line.pk], "against": "carrier", "what": "one bag"}
    return World({"pk": goods_in.pk}, data)


def to_undo() -> World:
    data = {"uid": str(uuid4()), "reason": "wrong order"}
    return World({"pk": claim().goods_in_id}, data)


def opened() -> World:
    data = {
        "how": "telephone", "told_at": LATER.strftime("%Y-%m-%dT%H:%M"), "words": "to Mr A",
        "reason": "", "closing": "",
    }  # fmt: skip
    return World({"pk": claim().pk}, data | {"words": "to the depot"})


def waiting() -> World:
    data = {"answer": "accepted", "answered_on": LATER.date(), "credit_expected": "33.60"}
    return World({"pk": told().pk}, data)


def owed() -> World:
    data = {"uid": str(uuid4()), "amount": "33.60", "credit_on": LATER.date(), "words": "all right"}
    return World({"pk": answered().pk}, data)


def evidence() -> World:
    file = SimpleUploadedFile("load.jpg", photo(), "image/jpeg")
    return World({"pk": claim().pk}, {"file": file, "caption": ""})


def closed() -> World:
    found = claim()
    close_claim(claim_id=found.pk, words="withdrawn", by=None, at=LATER)
    return World({"pk": found.pk})


def all_good() -> World:
    return World({"pk": delivery(good=44).pk})


def missing() -> World:
    return World({"pk": 999_999}, {"words": "x"})


ROWS = [
    Row("claims:list", "GET", SEE),
    Row("claims:detail", "GET", SEE, opened),
    Row("claims:detail", "GET", GONE, missing, "other"),
    Row("claims:open", "GET", WRITE, to_claim),
    Row("claims:open", "GET", GONE, all_good, "other"),
    Row("claims:open", "POST", DONE, to_claim, models=TABLES),
    Row("claims:open", "POST", GONE, missing, "other", TABLES),
    Row("claims:undo", "GET", only("owner", "storeman"), to_undo),
    Row("claims:undo", "GET", GONE, all_good, "other"),
    Row("claims:undo", "POST", only("owner", "storeman", status=302), to_undo, models=TABLES),
    Row("claims:undo", "POST", GONE, missing, "other", TABLES),
    *[
        row
        for name, make in (
            ("notify", opened), ("answer", waiting), ("credit", owed), ("evidence", evidence),
            ("close", owed),
        )
        for row in (
            Row(f"claims:{name}", "GET", WRITE, make),
            Row(f"claims:{name}", "POST", DONE, make, models=TABLES),
            Row(f"claims:{name}", "POST", GONE, closed, "other", TABLES),
        )
    ],
    Row("claims:reopen", "POST", DONE, closed, models=TABLES),
    Row("claims:reopen", "POST", GONE, missing, "other", TABLES),
]  # fmt: skip
