"""manage.py takeoff: one JSON document out, or one JSON refusal and exit 2; no database."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[3]
DOCUMENT = {
    "blend": {
        "kit": {
            "part_a": "4.8 kg", "part_b": "2.2 kg", "working_time_20c": "26 min",
            "cure_time_20c": "10 h", "uv_stable": True,
        },
        "components": [
            {"name": "stone 2-6 mm", "bag": "20 kg", "bags": 4, "max_size": "6.3 mm"},
            {"name": "stone 1-2 mm", "bag": "20 kg", "bags": 1, "max_size": "2 mm"},
            {"name": "fine sand", "bag": "5 kg", "bags": 1},
        ],
        "yield": {"area": "3.15 m^2", "depth": "20 mm"},
    },
    "areas": [
        {
            "name": "drive", "use": "vehicles", "depth": "20 mm", "base_texture": "0 mm",
            "outdoors": True,
            "shapes": [
                {"kind": "rectangle", "length": "6.2 m", "width": "3.4 m"},
                {"kind": "circle", "diameter": "0.6 m", "deduct": True},
            ],
        }
    ],
    "waste_percent": 5,
    "air": "12 degC",
}  # fmt: skip


def run(tmp_path: Path, *arguments: str, given: bytes = b"") -> subprocess.CompletedProcess[bytes]:
    """Run the command as a person would, where no database can be reached."""
    folder = tmp_path / "var"
    environment = {
        "PATH": os.environ["PATH"], "RESINWRIGHT_VAR": str(folder),
        "DATABASE_URL": "postgres://nobody@127.0.0.1:1/nothing",
    }  # fmt: skip
    return subprocess.run(
        [sys.executable, str(ROOT / "manage.py"), "takeoff", *arguments],
        input=given, capture_output=True, env=environment, timeout=60, check=False,
    )  # fmt: skip


def test_answers_a_file_without_a_database(tmp_path: Path) -> None:
    file = tmp_path / "job.json"
    file.write_text(json.dumps(DOCUMENT), encoding="utf-8")

    done = run(tmp_path, str(file))

    answer = json.loads(done.stdout)
    assert (done.returncode, done.stderr) == (0, b"")
    # 6.2 × 3.4 − π × 0.3², by hand
    assert answer["total"]["area_m2"] == pytest.approx(20.7973, abs=5e-5)
    assert (answer["total"]["mixes"], answer["total"]["kits"]) == (7, 7)


def test_reads_standard_input(tmp_path: Path) -> None:
    done = run(tmp_path, "-", given=json.dumps(DOCUMENT).encode())

    assert done.returncode == 0
    assert json.loads(done.stdout)["total"]["kits"] == 7


@pytest.mark.parametrize(
    ("given", "error", "where"),
    [
        (b"not json", "bad_json", "line 1 column 1"),
        (b"\xff\xfe\x00", "unreadable", "-"),
        (b"", "bad_json", "line 1 column 1"),
        (json.dumps(DOCUMENT | {"air": 12}).encode(), None, "air"),
        (json.dumps(DOCUMENT | {"weather": "fine"}).encode(), None, None),
    ],
)
def test_refusal_is_one_json_object_and_nothing_else(
    tmp_path: Path, given: bytes, error: str | None, where: str | None
) -> None:
    done = run(tmp_path, "-", given=given)

    refusal = json.loads(done.stderr)
    assert (done.returncode, done.stdout) == (2, b"")
    assert set(refusal) == {"error", "where", "message"}
    assert error in {None, refusal["error"]}
    assert where in {None, refusal["where"]}


@pytest.mark.parametrize("arguments", [("/nowhere/job.json",), (".",), ()])
def test_unreadable_file_is_refused_the_same_way(
    tmp_path: Path, arguments: tuple[str, ...]
) -> None:
    done = run(tmp_path, *arguments)

    assert (done.returncode, done.stdout) == (2, b"")
    assert json.loads(done.stderr)["error"] == "unreadable"
