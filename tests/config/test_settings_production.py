"""In production a missing or weak secret stops the start; elsewhere a random one is kept."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
GOOD = "a-secret-of-more-than-thirty-two-characters"


def start(var: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """Load the settings in a process with this environment and nothing else."""
    return subprocess.run(
        [sys.executable, "-c", "from config import settings; print(settings.SECRET_KEY)"],
        cwd=ROOT,
        env={"PATH": os.environ["PATH"], "RESINWRIGHT_VAR": str(var), **environment},
        capture_output=True,
        text=True,
        check=False,
    )


def last_line(done: subprocess.CompletedProcess[str]) -> str:
    return done.stderr.strip().splitlines()[-1].split(": ", 1)[1]


def test_production_without_a_secret_does_not_start(tmp_path: Path) -> None:
    done = start(tmp_path, RESINWRIGHT_PRODUCTION="1")

    assert done.returncode == 1
    assert last_line(done) == (
        "RESINWRIGHT_SECRET_KEY is not set. "
        "Set RESINWRIGHT_SECRET_KEY or RESINWRIGHT_SECRET_KEY_FILE, then start again."
    )
    assert not (tmp_path / "secret").exists()


def test_production_does_not_take_the_secret_that_development_kept(tmp_path: Path) -> None:
    (tmp_path / "secret").write_text(GOOD)

    assert start(tmp_path, RESINWRIGHT_PRODUCTION="1").returncode == 1


def test_production_refuses_a_short_secret(tmp_path: Path) -> None:
    done = start(tmp_path, RESINWRIGHT_PRODUCTION="1", RESINWRIGHT_SECRET_KEY="x" * 31)

    assert done.returncode == 1
    assert last_line(done) == ("RESINWRIGHT_SECRET_KEY is too short: give at least 32 characters.")


def test_production_starts_with_a_secret_in_the_environment_or_in_a_file(tmp_path: Path) -> None:
    file = tmp_path / "mounted"
    file.write_text(f"{GOOD}\n")

    by_name = start(tmp_path, RESINWRIGHT_PRODUCTION="1", RESINWRIGHT_SECRET_KEY=GOOD)
    by_file = start(tmp_path, RESINWRIGHT_PRODUCTION="1", RESINWRIGHT_SECRET_KEY_FILE=str(file))

    assert (by_name.stdout, by_file.stdout) == (f"{GOOD}\n", f"{GOOD}\n")


def test_outside_production_a_random_secret_is_kept_for_the_next_start(tmp_path: Path) -> None:
    first, second = start(tmp_path), start(tmp_path)

    assert first.returncode == 0, first.stderr
    assert first.stdout == second.stdout
    assert len(first.stdout.strip()) >= 50
    assert stat.S_IMODE((tmp_path / "secret").stat().st_mode) == 0o600
    assert start(tmp_path / "other").stdout != first.stdout


@pytest.mark.parametrize("word", ["maybe", "2"])
def test_a_flag_that_is_no_yes_or_no_stops_the_start(tmp_path: Path, word: str) -> None:
    done = start(tmp_path, RESINWRIGHT_PRODUCTION=word)

    assert done.returncode == 1
    assert last_line(done) == (
        f"RESINWRIGHT_PRODUCTION is '{word}'; give 1 or 0 (or true/false, yes/no, on/off)."
    )


def test_a_file_that_cannot_be_read_stops_the_start(tmp_path: Path) -> None:
    done = start(tmp_path, RESINWRIGHT_SECRET_KEY_FILE=str(tmp_path / "gone"))

    assert done.returncode == 1
    assert last_line(done).startswith(
        "RESINWRIGHT_SECRET_KEY_FILE names a file that cannot be read:"
    )
