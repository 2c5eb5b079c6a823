"""Who may answer a quote: whoever holds the link, and the office for one on paper."""

from __future__ import annotations

from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile

from jobs.kernel.clock import london_day, now
from quotes.acceptance.rules import new_token
from tests.quotes.acceptance.world import make_sent
from tests.role_rows import ROLES, Row, World, only


def link() -> World:
    cache.clear()
    sent = make_sent(at=now())
    return World({"token": sent.token}, {"name": "A", "terms": "on", "reason": "No"})


def revision() -> World:
    sent = make_sent(at=now())
    paper = SimpleUploadedFile("order.pdf", b"%PDF-1.7 order")
    day = f"{london_day(now()):%Y-%m-%d}"
    data = {"name": "A", "terms": "on", "signed_on": day, "file": paper}
    return World({"pk": sent.revision.pk}, data)


def unknown() -> World:
    cache.clear()
    return World({"token": new_token()}, {"name": "A", "terms": "on", "reason": "No"})


def missing() -> World:
    return World({"pk": 999_999})


ANYBODY = dict.fromkeys(ROLES, 200)
NOBODYS = dict.fromkeys(ROLES, 404)
TABLES = ("quotes.Acceptance", "quotes.Revision", "quotes.QuoteLink", "jobs.CostEntry")
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
ROWS = [
    Row("acceptance:quote", "GET", ANYBODY, link),
    Row("acceptance:quote", "GET", NOBODYS, unknown, "other"),
    Row("acceptance:quote", "POST", dict.fromkeys(ROLES, 302), link, models=TABLES),
    Row("acceptance:quote", "POST", NOBODYS, unknown, "other", TABLES),
    Row("acceptance:decline", "GET", ANYBODY, link),
    Row("acceptance:decline", "POST", ANYBODY, link, models=TABLES),
    Row("acceptance:decline", "POST", NOBODYS, unknown, "other", TABLES),
    Row("acceptance:pdf", "GET", ANYBODY, link),
    Row("acceptance:pdf", "GET", NOBODYS, unknown, "other"),
    Row("acceptance:paper", "GET", only("owner", "office"), revision),
    Row("acceptance:paper", "POST", only("owner", "office", status=302), revision, models=TABLES),
    Row("acceptance:paper", "POST", GONE, missing, "other", TABLES),
    Row("acceptance:again", "POST", only("owner", status=302), revision, models=TABLES),
    Row("acceptance:again", "POST", GONE, missing, "other", TABLES),
    Row("acceptance:withdraw", "POST", only("owner", status=302), revision, models=TABLES),
    Row("acceptance:withdraw", "POST", GONE, missing, "other", TABLES),
]
