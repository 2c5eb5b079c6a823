"""What `make bench` makes of a value; nothing here is timed."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.bench.clock import AbsentError
from tests.bench.documents import one_area, six_areas
from tests.bench.engine import batch_logs

ROOT = Path(__file__).resolve().parents[2]


def two() -> float:
    return 2.0


def absent() -> float:
    raise AbsentError("no spirit level here")


def broken() -> float:
    raise ZeroDivisionError("a mix of nothing")


def run(tmp_path: Path, measure: str, limit: str) -> tuple[int, str]:
    """Run the command on one target; return its exit code and what it printed."""
    file = tmp_path / "targets.toml"
    file.write_text(
        f'[[target]]\nname = "a"\nwhat = "b"\nmeasure = "test_bench:{measure}"\n'
        f'unit = "ms"\n{limit}\n'
    )
    done = subprocess.run(
        [sys.executable, "scripts/bench.py", "--targets", str(file)],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    return done.returncode, done.stdout + done.stderr


@pytest.mark.parametrize(
    ("measure", "limit", "code", "words"),
    [
        ("two", "most = 2.0", 0, ["at most 2 ms", "2 ms  met"]),
        ("two", "most = 1.9", 0, ["at most 1.9 ms", "2 ms  MISSED"]),
        ("two", "least = 2.1", 0, ["at least 2.1 ms", "2 ms  MISSED"]),
        ("two", "least_ratio = 2", 0, ["at least 2 ms", "2 ms  met"]),
        ("two", "least_ratio = 2.1", 1, ["at least 2.1 ms", "2 ms  MISSED"]),
        ("absent", "least_ratio = 2", 0, ["not measured: no spirit level here"]),
        ("broken", "most = 2", 1, ["BROKEN", "ZeroDivisionError: a mix of nothing"]),
        ("two", "", 1, ["The target 'a' needs exactly one of most, least, least_ratio."]),
        ("two", "most = 1\nleast = 1", 1, ["needs exactly one of"]),
    ],
)
def test_a_missed_ratio_or_a_broken_measure_fails_a_missed_absolute_is_printed(
    tmp_path: Path, measure: str, limit: str, code: int, words: list[str]
) -> None:
    found, printed = run(tmp_path, measure, limit)

    assert found == code, printed
    assert [word for word in words if word not in printed] == []


def test_what_is_measured_is_what_the_targets_say() -> None:
    assert len(six_areas()["areas"]) == 6
    assert six_areas(1) != six_areas(2)
    assert len(one_area(300, 200, 40, 18)["areas"]) == 1
    records, priors = batch_logs(500)
    assert len(records) == 500
    assert {(record.blend, record.base) for record in records} == set(priors)
