"""Who may see messages and decide about those in doubt."""

from __future__ import annotations

from jobs.outbox.models import Message
from tests.factories import AT, numbers
from tests.role_rows import Row, World, only


def message() -> World:
    found = Message.objects.create(
        occasion=f"test:{next(numbers)}", audience="customer", state="failed", to="a@home.example",
        subject="Your quote", body="Hello", due_at=AT, created_at=AT,
    )  # fmt: skip
    return World({"pk": found.pk})


def missing() -> World:
    return World({"pk": 999_999})


SEE = ("owner", "office")
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
ROWS = [
    Row("outbox:list", "GET", only(*SEE)),
    Row("outbox:detail", "GET", only(*SEE), message),
    Row("outbox:detail", "GET", GONE, missing, "other"),
    Row("outbox:again", "POST", only(*SEE, status=302), message, models=("jobs.Message",)),
    Row("outbox:drop", "POST", only(*SEE, status=302), message, models=("jobs.Message",)),
]
