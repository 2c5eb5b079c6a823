"""Who may write, send, sign and see variations."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal

from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile

from jobs.kernel.clock import london_day, now
from quotes.acceptance.rules import new_token
from quotes.variations import services
from tests.factories import make_booking
from tests.quotes.variations.world import make_agreed, make_out
from tests.role_rows import ROLES, Row, World, only


def job() -> World:
    return World({"job": make_agreed(at=now()).world.job.pk}, {"title": "A step"})


def draft() -> World:
    agreed = make_agreed(at=now())
    row = agreed.start(at=now())
    services.add_line(
        variation_id=row.pk, kind="free", words="Step", quantity=Decimal(1),
        fixed=Decimal("100.00"), by=None, at=now(),
    )  # fmt: skip
    day = f"{row.valid_until:%Y-%m-%d}"
    data = {
        "title": "A step", "days_added": "1", "restocking_percent": "0", "valid_until": day,
        "to": "home@customer.example", "kind": "free", "words": "Rail", "quantity": "1",
        "unit": "each", "fixed": "50",
    }  # fmt: skip
    return World({"pk": row.pk}, data)


def line() -> World:
    world = draft()
    found = services.add_line(
        variation_id=world.kwargs["pk"], kind="free", words="Rail", quantity=Decimal(1),
        fixed=Decimal("1.00"), by=None, at=now(),
    )  # fmt: skip
    return World(world.kwargs | {"line": found.pk})


def others_line() -> World:
    return World(draft().kwargs | {"line": line().kwargs["line"]})


def sent() -> World:
    row, _ = make_out(at=now())
    paper = SimpleUploadedFile("signed.pdf", b"%PDF-1.7 signed")
    day = f"{london_day(now()):%Y-%m-%d}"
    data = {"name": "A", "terms": "on", "signed_on": day, "file": paper, "reason": "No"}
    return World({"pk": row.pk}, data)


def days() -> World:
    agreed = make_agreed(at=now())
    make_booking(agreed.world.job, day=london_day(now()) + timedelta(days=30))
    row, token = make_out(agreed, at=now(), days=1)
    services.accept(
        token=token, name="A", consents={"terms": True}, network_address=None, user_agent="",
        at=now(),
    )  # fmt: skip
    return World({"pk": row.pk}, {"reason": "Two more hands come along"})


def settled() -> World:
    world = days()
    services.settle_days(
        variation_id=world.kwargs["pk"], reason="Two more hands", by=None, at=now()
    )  # fmt: skip
    return world


def link() -> World:
    cache.clear()
    _, token = make_out(at=now())
    return World({"token": token}, {"name": "A", "terms": "on", "reason": "No"})


def unknown() -> World:
    cache.clear()
    return World({"token": new_token()}, {"name": "A", "terms": "on", "reason": "No"})


def missing() -> World:
    return World({"pk": 999_999})


SEE = ("owner", "office", "accountant")
WRITE = ("owner", "office")
ANYBODY = dict.fromkeys(ROLES, 200)
NOBODYS = dict.fromkeys(ROLES, 404)
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
TABLES = (
    "quotes.Variation", "quotes.ChangeLine", "quotes.VariationAnswer", "jobs.CostEntry",
)  # fmt: skip
ROWS = [
    Row("variations:list", "GET", only(*SEE)),
    Row("variations:start", "GET", only(*WRITE), job),
    Row("variations:start", "POST", only(*WRITE, status=302), job, models=TABLES),
    Row("variations:start", "POST", GONE, lambda: World({"job": 999_999}), "other", TABLES),
    Row("variations:detail", "GET", only(*SEE), draft),
    Row("variations:detail", "GET", GONE, missing, "other"),
    Row("variations:change", "GET", only(*WRITE), draft),
    Row("variations:change", "POST", only(*WRITE, status=302), draft, models=TABLES),
    Row("variations:change", "POST", GONE, missing, "other", TABLES),
    Row("variations:add_line", "GET", only(*WRITE), draft),
    Row("variations:add_line", "POST", only(*WRITE, status=302), draft, models=TABLES),
    Row("variations:add_line", "POST", GONE, missing, "other", TABLES),
    Row("variations:remove_line", "POST", only(*WRITE, status=302), line, models=TABLES),
    Row("variations:remove_line", "POST", GONE, others_line, "other", TABLES),
    Row("variations:delete", "GET", only(*WRITE), draft),
    Row("variations:delete", "POST", only(*WRITE, status=302), draft, models=TABLES),
    Row("variations:delete", "POST", GONE, missing, "other", TABLES),
    Row("variations:send", "GET", only("owner"), draft),
    Row("variations:send", "POST", only("owner", status=302), draft, models=TABLES),
    Row("variations:send", "POST", GONE, missing, "other", TABLES),
    Row("variations:replace", "POST", only(*WRITE, status=302), sent, models=TABLES),
    Row("variations:replace", "POST", GONE, missing, "other", TABLES),
    Row("variations:again", "POST", only("owner", status=302), sent, models=TABLES),
    Row("variations:again", "POST", GONE, missing, "other", TABLES),
    Row("variations:withdraw", "POST", only("owner", status=302), sent, models=TABLES),
    Row("variations:withdraw", "POST", GONE, missing, "other", TABLES),
    Row("variations:paper", "GET", only(*WRITE), sent),
    Row("variations:paper", "POST", only(*WRITE, status=302), sent, models=TABLES),
    Row("variations:paper", "POST", GONE, missing, "other", TABLES),
    Row("variations:open_pdf", "GET", only(*SEE), sent),
    Row("variations:open_pdf", "GET", GONE, missing, "other"),
    Row("variations:record_decline", "GET", only(*WRITE), sent),
    Row("variations:record_decline", "POST", only(*WRITE, status=302), sent, models=TABLES),
    Row("variations:record_decline", "POST", GONE, missing, "other", TABLES),
    Row("variations:days", "GET", only(*WRITE), days),
    Row("variations:days", "GET", GONE, missing, "other"),
    Row("variations:days", "POST", only(*WRITE, status=302), days, models=TABLES),
    Row("variations:days", "POST", GONE, missing, "other", TABLES),
    Row("variations:days_again", "POST", only(*WRITE, status=302), settled, models=TABLES),
    Row("variations:days_again", "POST", GONE, missing, "other", TABLES),
    Row("variations:answer", "GET", ANYBODY, link),
    Row("variations:answer", "GET", NOBODYS, unknown, "other"),
    Row("variations:answer", "POST", dict.fromkeys(ROLES, 302), link, models=TABLES),
    Row("variations:answer", "POST", NOBODYS, unknown, "other", TABLES),
    Row("variations:decline", "GET", ANYBODY, link),
    Row("variations:decline", "POST", ANYBODY, link, models=TABLES),
    Row("variations:decline", "POST", NOBODYS, unknown, "other", TABLES),
    Row("variations:pdf", "GET", ANYBODY, link),
    Row("variations:pdf", "GET", NOBODYS, unknown, "other"),
]
