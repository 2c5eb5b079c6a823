"""`manage.py reorder`: what to order on a day, as text and as one JSON document."""

from __future__ import annotations

import json
from io import StringIO

import pytest
from django.core.management import call_command

from jobs.kernel.commands import UnusableInputError
from stock.reorder.models import ReorderRun
from tests.stock.ordering.world import short_job

pytestmark = pytest.mark.django_db


def run(*args: str) -> tuple[int, str]:
    out = StringIO()
    try:
        call_command("reorder", *args, stdout=out)
    except SystemExit as stop:
        return int(str(stop.code)), out.getvalue()
    return 0, out.getvalue()


def test_empty_book_answers_with_every_key() -> None:
    code, text = run("--json", "--on", "2026-05-14")
    assert (code, json.loads(text)) == (
        0, {"on": "2026-05-14", "suggestions": [], "cannot_be_met": []},
    )  # fmt: skip


def test_suggestion_says_what_from_whom_and_by_when() -> None:
    job = short_job()
    code, text = run("--json", "--on", "2026-05-14")
    document = json.loads(text)
    (row,) = document["suggestions"]
    assert (code, document["cannot_be_met"]) == (0, [])
    assert (row["job"], row["packs"], row["channel"], row["cost"]) == (
        job.reference, 44, "online", "414.60",
    )  # fmt: skip
    assert row["order_by"] == "2026-05-14T11:45:00+01:00"
    assert not ReorderRun.objects.exists()


def test_shortage_that_cannot_be_met_exits_1() -> None:
    short_job()
    code, text = run("--json", "--on", "2026-05-15")
    assert code == 1
    assert len(json.loads(text)["cannot_be_met"]) == 1
    code, text = run("--on", "2026-05-15")
    assert code == 1
    assert "Cannot be met: 1" in text


@pytest.mark.parametrize("on", ["today", "2026-02-30", "9999-12-31"])
def test_bad_day_exits_2(on: str) -> None:
    with pytest.raises(UnusableInputError) as error:
        call_command("reorder", "--on", on)
    assert error.value.returncode == 2
