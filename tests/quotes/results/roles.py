"""Who may see the numbers over the year."""

from __future__ import annotations

from tests.quotes.world import make_quote_world
from tests.role_rows import Row, World, only


def page() -> World:
    make_quote_world().send()
    return World()


def file() -> World:
    make_quote_world().send()
    return World({"kind": "csv"})


SEE = ("owner", "office", "accountant")
ROWS = [
    Row("results:list", "GET", only(*SEE), page),
    Row("results:file", "GET", only(*SEE), file),
]
