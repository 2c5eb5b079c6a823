"""What this machine can show, decided once: a browser, PostgreSQL; and what a run leaves out.

A plain run leaves out what it cannot show and says so in one counted line. With REQUIRE_ALL=1, as
in CI, an absence is a failure: no browser stops the run, and a test that skips itself has failed.
What only PostgreSQL can show is left out of every run on SQLite, since CI runs both.

tests/conftest.py names this module in `pytest_plugins`.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Generator
from typing import Any

import pytest

REQUIRE_ALL = os.environ.get("REQUIRE_ALL", "") not in {"", "0"}
ON_POSTGRES = os.environ.get("DATABASE_URL", "").startswith(("postgres:", "postgresql:"))
CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")

LEFT_OUT = pytest.StashKey[dict[str, int]]()
# Printed by the process that a person sees, also when workers ran the tests.
COUNTED: dict[str, int] = {}

NO_BROWSER = "for want of Chromium"
NO_POSTGRES = "for want of PostgreSQL (this run is on SQLite)"


def need_program(name: str) -> str:
    """Return the program's path; skip the test where it is absent (a failure with REQUIRE_ALL)."""
    path = shutil.which(name)
    if path is None:
        pytest.skip(f"{name} is not installed")
    return path


def reason_to_leave_out(item: pytest.Item) -> str:
    """Return why this machine cannot show the test, '' when it can."""
    if item.get_closest_marker("postgres") and not ON_POSTGRES:
        return NO_POSTGRES
    if item.get_closest_marker("browser") and CHROMIUM is None:
        return NO_BROWSER
    return ""


@pytest.hookimpl(trylast=True)  # after -m and -k, so that only what was asked for is counted
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    reasons = {item: reason_to_leave_out(item) for item in items}
    left_out = [item for item, reason in reasons.items() if reason]
    counts: dict[str, int] = {}
    for item in left_out:
        counts[reasons[item]] = counts.get(reasons[item], 0) + 1
    if REQUIRE_ALL and NO_BROWSER in counts:
        raise pytest.UsageError(
            f"REQUIRE_ALL is set, and {counts[NO_BROWSER]} cannot run {NO_BROWSER}."
        )
    config.stash[LEFT_OUT] = counts
    if left_out:
        items[:] = [item for item in items if not reasons[item]]
        config.hook.pytest_deselected(items=left_out)


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any) -> None:
    """Take over what a worker of a parallel run has counted; each has counted all of it."""
    COUNTED.update(getattr(node, "workeroutput", {}).get("left_out", {}))


def pytest_sessionfinish(session: pytest.Session) -> None:
    counts = session.config.stash.get(LEFT_OUT, {})
    if hasattr(session.config, "workeroutput"):
        session.config.workeroutput["left_out"] = counts
    else:
        COUNTED.update(counts)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    if COUNTED:
        parts = (f"{count} {reason}" for reason, count in sorted(COUNTED.items()))
        terminalreporter.write_line(f"Left out: {', '.join(parts)}.")


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item, call: pytest.CallInfo[None]
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """With REQUIRE_ALL turn a skip into a failure; an expected failure stays what it is."""
    del item, call
    report = yield
    if REQUIRE_ALL and report.skipped and not hasattr(report, "wasxfail"):
        reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else report.longrepr
        report.outcome = "failed"
        report.longrepr = f"REQUIRE_ALL is set, and this test was skipped: {reason}"
    return report
