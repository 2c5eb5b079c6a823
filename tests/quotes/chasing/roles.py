"""Who may stop reminders and price a quote again."""

from __future__ import annotations

from jobs.kernel.clock import now
from tests.quotes.variations.world import make_out
from tests.quotes.world import make_quote_world
from tests.role_rows import Row, World, only


def sent() -> World:
    return World({"pk": make_quote_world().send().pk})


def variation() -> World:
    return World({"pk": make_out(at=now())[0].pk})


def missing() -> World:
    return World({"pk": 999_999})


WRITE = ("owner", "office")
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
TABLES = ("quotes.Watch", "quotes.VariationWatch", "quotes.Revision", "quotes.Line")
MAKERS = {"pause_variation": variation, "resume_variation": variation}
ROWS = [
    row
    for name, make in (("pause", sent), ("resume", sent), ("renew", sent), *MAKERS.items())
    for row in (
        Row(f"chasing:{name}", "POST", only(*WRITE, status=302), make, models=TABLES),
        Row(f"chasing:{name}", "POST", GONE, missing, "other", TABLES),
    )
]
