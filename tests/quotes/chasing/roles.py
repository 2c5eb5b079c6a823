"""Who may stop reminders and price a quote again."""

from __future__ import annotations

from tests.quotes.world import make_quote_world
from tests.role_rows import Row, World, only


def sent() -> World:
    return World({"pk": make_quote_world().send().pk})


def missing() -> World:
    return World({"pk": 999_999})


WRITE = ("owner", "office")
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
TABLES = ("quotes.Watch", "quotes.Revision", "quotes.Line")
ROWS = [
    row
    for name in ("pause", "resume", "renew")
    for row in (
        Row(f"chasing:{name}", "POST", only(*WRITE, status=302), sent, models=TABLES),
        Row(f"chasing:{name}", "POST", GONE, missing, "other", TABLES),
    )
]
