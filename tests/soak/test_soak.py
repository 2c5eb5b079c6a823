"""The long run in short: it finds what is wrong, and writes its dated report."""

from __future__ import annotations

import json
import random
import subprocess
import sys
from pathlib import Path

import pytest

from quotes.engine.document import answer_text
from tests.bench.documents import six_areas
from tests.soak import documents
from tests.soak.report import Report

ROOT = Path(__file__).resolve().parents[2]


def test_a_short_run_finds_nothing_and_writes_a_dated_report(tmp_path: Path) -> None:
    options = ["--minutes", "0.03", "--seed", "5", "--folder", str(tmp_path)]
    done = subprocess.run(
        [sys.executable, "scripts/soak.py", "documents", *options],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    (file,) = tmp_path.glob("20*.md")

    assert done.returncode == 0, done.stdout + done.stderr
    assert file.read_text().startswith("# Hostile input, 20")
    assert "seed 5" in file.read_text()
    assert " answered, " in file.read_text()
    assert "\n0 failures." in file.read_text()


def test_spoilt_documents_are_both_answered_and_refused() -> None:
    draw, report = random.Random(3), Report()
    for n in range(150):
        document = six_areas(n)
        for _ in range(draw.randrange(4)):
            documents.spoil(document, draw)
        documents.try_one(json.dumps(document), report)

    assert report.failures == []
    assert min(report.counts["answered"], report.counts["refused"]) > 20


def test_an_error_that_is_not_the_engines_is_a_failure(monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(text: str) -> dict[str, object]:
        raise KeyError("depth")

    monkeypatch.setattr(documents, "answer_text", fail)
    report = Report()
    documents.try_one("{}", report)

    assert report.failures == ["KeyError: 'depth'\n{}"]


@pytest.mark.parametrize(
    ("key", "value", "law"),
    [
        ("mass_kg", 1.0, "resin and aggregate make the mass"),
        ("area_m2", 1.0, "areas add up"),
        ("mixes", 1.0, "mixes are enough"),
        ("kits", float("inf"), "figures are finite and not negative"),
    ],
)
def test_a_broken_law_is_noticed(key: str, value: float, law: str) -> None:
    answer = answer_text(json.dumps(six_areas()))
    assert documents.laws_broken(answer) == []

    answer["total"][key] = value  # type: ignore[index]

    assert law in documents.laws_broken(answer)
