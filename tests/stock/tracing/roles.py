"""Who may trace, who may make a recall sheet, and who may hold what is left."""

from __future__ import annotations

from tests.factories import make_job, make_kit, make_lot
from tests.role_rows import Row, World, everybody, only


def lot() -> World:
    return World({"pk": make_lot(make_kit()).pk, "share": "a"}, {"reason": "the maker's notice"})


def no_run() -> World:
    return World({"pk": make_lot(make_kit()).pk, "share": "run"}, {"reason": "x"})


def job() -> World:
    return World({"pk": make_job().pk})


def missing() -> World:
    return World({"pk": 999_999})


GONE = dict.fromkeys(("owner", "office", "storeman", "accountant", "crew", "stranger"), 404)
TELL = ("owner", "office", "storeman")
HOLD = ("stock.Lot", "jobs.Event")
ROWS = [
    Row("tracing:list", "GET", everybody()),
    Row("tracing:surfaces", "GET", everybody()),
    Row("tracing:lot", "GET", everybody(), lot),
    Row("tracing:lot", "GET", GONE, no_run, "other"),
    *[
        row
        for name in ("recall", "recall_pdf", "recall_csv")
        for row in (
            Row(f"tracing:{name}", "GET", only(*TELL), lot),
            Row(f"tracing:{name}", "GET", GONE, no_run, "other"),
        )
    ],
    Row("tracing:hold", "GET", only("owner", "storeman"), lot),
    Row("tracing:hold", "POST", only("owner", "storeman", status=302), lot, models=HOLD),
    Row("tracing:hold", "POST", GONE, no_run, "other", HOLD),
    *[
        row
        for name in ("job", "job_csv")
        for row in (
            Row(f"tracing:{name}", "GET", everybody(), job),
            Row(f"tracing:{name}", "GET", GONE, missing, "other"),
        )
    ],
]
