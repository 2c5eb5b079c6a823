"""`manage.py cutoffs`: what is short and by when, as text and as one JSON document."""

from __future__ import annotations

import json
from io import StringIO

import pytest
from django.core.management import call_command

from jobs.kernel.commands import UnusableInputError
from stock.ordering.models import Shortage
from tests.stock.ordering.world import short_job

pytestmark = pytest.mark.django_db


def run(*args: str) -> tuple[int, str]:
    out = StringIO()
    try:
        call_command("cutoffs", *args, stdout=out)
    except SystemExit as stop:
        return int(str(stop.code)), out.getvalue()
    return 0, out.getvalue()


def test_empty_book_answers_with_every_key() -> None:
    code, text = run("--json", "--at", "2026-05-14T09:00")
    assert (code, json.loads(text)) == (
        0, {"at": "2026-05-14T09:00:00+01:00", "missed": [], "open": []},
    )  # fmt: skip


def test_open_shortage_has_each_channels_moment() -> None:
    job = short_job()
    code, text = run("--json", "--at", "2026-05-14T09:00")
    (row,) = json.loads(text)["open"]
    assert code == 0
    assert (row["job"], row["packs"], row["one_run"]) == (job.reference, 44, True)
    assert row["order_by"] == "2026-05-14T15:30:00+01:00"
    assert [channel["order_by"] for channel in row["channels"]] == [
        "2026-05-14T11:45:00+01:00", "2026-05-14T15:30:00+01:00",
    ]  # fmt: skip


@pytest.mark.parametrize(("at", "code"), [("2026-05-14T15:30:00", 0), ("2026-05-14T15:30:01", 1)])
def test_a_second_after_the_last_cutoff_it_is_missed(at: str, code: int) -> None:
    short_job()
    assert run("--at", at)[0] == code


def test_it_only_reads() -> None:
    short_job()
    run("--at", "2026-05-14T16:00")
    assert not Shortage.objects.exists()


def test_text_says_what_to_order() -> None:
    short_job()
    _, text = run("--at", "2026-05-14T09:00")
    assert "Missed: none" in text
    assert "Order 44 bags of" in text
    assert "telephone Supplier" in text


@pytest.mark.parametrize("at", ["yesterday", "2026-13-01", "9999-12-31T00:00"])
def test_bad_time_exits_2(at: str) -> None:
    with pytest.raises(UnusableInputError) as error:
        call_command("cutoffs", "--at", at)
    assert error.value.returncode == 2


def test_offset_is_kept() -> None:
    _, text = run("--json", "--at", "2026-05-14T09:00+02:00")
    assert json.loads(text)["at"] == "2026-05-14T09:00:00+02:00"
