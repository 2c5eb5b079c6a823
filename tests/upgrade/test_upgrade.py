"""A firm's books as an earlier release left them, brought up to date: nothing is lost or changed.

Each firm_NNNN.sql.xz is the demo firm's SQLite database (python's iterdump, xz) as it stood when
that migration was the newest one; add one when a release adds migrations.
"""

from __future__ import annotations

import json
import lzma
import os
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
KEPT = sorted(HERE.glob("firm_*.sql.xz"))
# Tables whose rows are the firm's own; what a table may gain in an upgrade is not asked here.
LEDGERS = {
    "stock_movement": "count(*), sum(quantity)",
    "stock_lot": "count(*), sum(on_hand), sum(reserved)",
    "jobs_costentry": "count(*), sum(amount)",
    "jobs_receipt": "count(*), sum(amount)",
    "quotes_revision": "count(*), sum(net), sum(vat), sum(gross)",
    "jobs_event": "count(*), max(id)",
}
# What became a table of its own: what it was, and what it is.
MOVED = {
    ("stock_channel", "count(*), sum(carriage)"): (
        "stock_channelcharge", "count(*), sum(carriage)",
    ),
    ("quotes_workitemrate", "count(stock_item_id), sum(stock_per_unit)"): (
        "quotes_workitemstock", "count(*), sum(quantity)",
    ),
}  # fmt: skip


def ask(file: Path, *, table: str, what: str) -> tuple[object, ...]:
    with closing(sqlite3.connect(file)) as books:
        return tuple(books.execute(f"select {what} from {table}").fetchone())  # noqa: S608 - ours


def manage(file: Path, *words: str) -> subprocess.CompletedProcess[str]:
    settings = {
        name: value for name, value in os.environ.items()
        if not name.startswith(("DATABASE_", "REDIS_", "CELERY_", "RESINWRIGHT_", "DJANGO_"))
    }  # fmt: skip
    settings |= {"DATABASE_URL": f"sqlite:///{file}", "RESINWRIGHT_VAR": str(file.parent)}
    return subprocess.run(
        [sys.executable, "manage.py", *words],
        cwd=ROOT, env=settings, capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip


@pytest.mark.parametrize("kept", KEPT, ids=lambda path: path.name.split(".")[0])
def test_books_of_an_earlier_release_are_brought_up_to_date(kept: Path, tmp_path: Path) -> None:
    file = tmp_path / "books.sqlite3"
    with closing(sqlite3.connect(file)) as books:
        books.executescript(lzma.decompress(kept.read_bytes()).decode())
    before = {table: ask(file, table=table, what=what) for table, what in LEDGERS.items()}
    assert all(row[0] for row in before.values())
    moved = [ask(file, table=table, what=what) for table, what in MOVED]
    assert all(row[0] for row in moved)

    migrated = manage(file, "migrate", "--no-input")
    assert migrated.returncode == 0, migrated.stderr

    assert {table: ask(file, table=table, what=what) for table, what in LEDGERS.items()} == before
    assert [ask(file, table=table, what=what) for table, what in MOVED.values()] == moved
    checked = manage(file, "check", "--database", "default")
    assert checked.returncode == 0, checked.stderr
    audited = manage(file, "auditstock", "--json")
    assert audited.returncode == 0, audited.stdout + audited.stderr
    found = json.loads(audited.stdout)
    assert (found["ok"], found["differences"]) == (True, [])
    assert found["movements"] == before["stock_movement"][0]


def test_something_is_kept() -> None:
    assert [path.name for path in KEPT][:1] == ["firm_0001.sql.xz"]
