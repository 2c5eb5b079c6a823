"""Who may see what to reorder, and draft it."""

from __future__ import annotations

from stock.reorder.models import Suggestion
from stock.reorder.services import suggest
from tests.factories import AT, DAY
from tests.role_rows import Row, World, only
from tests.stock.ordering.world import short_job

SEE = only("owner", "office", "storeman", "accountant")
DONE = only("owner", "office", "storeman", status=302)
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
TABLES = ("stock.Order", "stock.OrderLine", "stock.Suggestion", "stock.ReorderRun", "jobs.Event")


def suggestion() -> World:
    short_job()
    suggest(on=DAY, at=AT)
    return World({"pk": Suggestion.objects.get().pk})


def missing() -> World:
    return World({"pk": 999_999})


ROWS = [
    Row("reorder:list", "GET", SEE),
    Row("reorder:again", "POST", DONE, models=TABLES),
    Row("reorder:detail", "GET", SEE, suggestion),
    Row("reorder:detail", "GET", GONE, missing, "other"),
    Row("reorder:draft", "POST", DONE, suggestion, models=TABLES),
    Row("reorder:draft", "POST", GONE, missing, "other", TABLES),
    Row("reorder:aside", "POST", DONE, suggestion, models=TABLES),
    Row("reorder:aside", "POST", GONE, missing, "other", TABLES),
]
