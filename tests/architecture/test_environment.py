"""What a run leaves out and when an absence fails it: real pytest runs in a folder of their own."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SUITE = """
import pytest

def test_plain():
    pass

@pytest.mark.postgres
def test_locks():
    pass

@pytest.mark.postgres
def test_locks_again():
    pass

@pytest.mark.browser
def test_page():
    pass

def test_skips_itself():
    pytest.skip("no printer")

@pytest.mark.xfail
def test_expected_to_fail():
    assert False
"""
INI = """
[pytest]
markers =
    browser: b
    postgres: p
"""


def run(folder: Path, *arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run pytest on SUITE with the hooks under test, with nothing on PATH unless it is given."""
    (folder / "conftest.py").write_text('pytest_plugins = ["tests.environment"]\n')
    (folder / "test_suite.py").write_text(SUITE)
    (folder / "pytest.ini").write_text(INI)
    path = environment.pop("PATH", str(folder / "nothing"))
    return subprocess.run(
        [sys.executable, "-m", "pytest", "-p", "no:django", "-p", "no:cacheprovider", *arguments],
        cwd=folder,
        env={"PATH": path, "PYTHONPATH": str(ROOT), "HOME": str(folder), **environment},
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.fixture
def chromium(tmp_path: Path) -> str:
    """A folder for PATH in which a program called chromium can be found."""
    folder = tmp_path / "programs"
    folder.mkdir()
    (folder / "chromium").symlink_to("/bin/true")
    return str(folder)


@pytest.mark.parametrize("workers", [(), ("-n2",)])
def test_a_plain_run_leaves_out_what_is_absent_and_counts_it_once(
    tmp_path: Path, workers: tuple[str, ...]
) -> None:
    done = run(tmp_path, *workers)

    assert done.returncode == 0, done.stdout + done.stderr
    assert done.stdout.count("Left out:") == 1
    assert (
        "Left out: 1 for want of Chromium, 2 for want of PostgreSQL (this run is on SQLite)."
        in done.stdout
    )
    assert "1 passed, 1 skipped" in done.stdout


def test_nothing_is_left_out_where_all_is_there(tmp_path: Path, chromium: str) -> None:
    done = run(tmp_path, PATH=chromium, DATABASE_URL="postgres://x@/x")

    assert done.returncode == 0
    assert "Left out" not in done.stdout
    assert "4 passed, 1 skipped, 1 xfailed" in done.stdout


def test_with_require_all_an_absent_browser_stops_the_run(tmp_path: Path) -> None:
    done = run(tmp_path, REQUIRE_ALL="1")

    assert done.returncode == 4
    assert "REQUIRE_ALL is set, and 1 cannot run for want of Chromium." in done.stdout + done.stderr


def test_with_require_all_a_test_that_skips_itself_has_failed(
    tmp_path: Path, chromium: str
) -> None:
    done = run(tmp_path, PATH=chromium, REQUIRE_ALL="1")

    assert done.returncode == 1
    assert "1 failed, 2 passed, 2 deselected, 1 xfailed" in done.stdout
    assert "REQUIRE_ALL is set, and this test was skipped: Skipped: no printer" in done.stdout


def test_what_was_not_asked_for_is_not_counted(tmp_path: Path) -> None:
    done = run(tmp_path, "-m", "not browser", REQUIRE_ALL="1")

    assert "Left out: 2 for want of PostgreSQL (this run is on SQLite)." in done.stdout
