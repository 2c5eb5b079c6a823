"""Who may write to customers, read what was written, and change the firm's words."""

from __future__ import annotations

from uuid import uuid4

from django.utils import timezone

from jobs.kernel.clock import london_day
from jobs.messages.models import Wording
from tests.factories import AT
from tests.jobs.messages.world import make_told_job
from tests.role_rows import Row, World, only


def job() -> World:
    found = make_told_job()
    data = {
        "kind": "free", "channel": "mail", "to": found.customer.email, "subject": "Gravel",
        "body": "The gravel came.", "uid": uuid4(),
    }  # fmt: skip
    return World({"pk": found.pk}, data)


def pair() -> World:
    data = {"valid_from": london_day(timezone.now()), "subject": "{job}", "body": "{days}"}
    return World({"kind": "dates", "channel": "mail"}, data)


def no_pair() -> World:
    return World({"kind": "weather", "channel": "mail"}, {"body": "x"})


def wording() -> World:
    found = Wording.objects.create(
        kind="free", channel="mail", valid_from=london_day(timezone.now()), subject="{job}",
        body="{firm}", written_at=AT,
    )  # fmt: skip
    return World({"pk": found.pk})


def missing() -> World:
    return World({"pk": 999_999})


WHO = ("owner", "office")
GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
ROWS = [
    Row("messages:list", "GET", only(*WHO)),
    Row("messages:write", "GET", only(*WHO), job),
    Row("messages:write", "GET", GONE, missing, "other"),
    Row(
        "messages:write", "POST", only(*WHO, status=302), job,
        models=("jobs.Message", "jobs.CustomerMessage"),
    ),
    Row("messages:words", "GET", only(*WHO)),
    Row("messages:wording", "GET", only(*WHO), pair),
    Row("messages:wording", "GET", GONE, no_pair, "other"),
    Row("messages:wording", "POST", only(*WHO, status=302), pair, models=("jobs.Wording",)),
    Row(
        "messages:wording_remove", "POST", only(*WHO, status=302), wording,
        models=("jobs.Wording",),
    ),
    Row("messages:wording_remove", "POST", GONE, missing, "other", ("jobs.Wording",)),
]  # fmt: skip
