"""The answers of this version, frozen: they may change only together with ENGINE_VERSION.

Sent quotes keep the engine's version beside their figures. After a change that is meant, raise
the version and run this file as a program: python -m tests.quotes.engine.test_golden
"""

import json
from pathlib import Path
from typing import Any

import pytest

from quotes.engine.document import answer
from quotes.engine.version import ENGINE_VERSION

from . import samples
from .test_fuzz import SHAPES

FILE = Path(__file__).with_name("golden.json")


def documents() -> list[dict[str, Any]]:
    """Documents that between them go through every part of the answer."""
    kinds = [samples.area(name=s["kind"], shapes=[s], base_texture="1 mm") for s in SHAPES]
    blends = samples.document(
        areas=[
            samples.area(blend="buff", session="Monday"),
            samples.area(blend="buff", session="Tuesday", depth="18 mm"),
            samples.area(blend="red", use="heavy"),
        ],
        surface="31 degC",
        humidity="88 %",
        uncertainty={"tape": "8 mm", "depth": "2 mm"},
    )
    del blends["blend"]
    blends["blends"] = {
        "buff": samples.blend(kit=samples.kit(uv_stable=False)),
        "red": samples.blend(
            kit=samples.kit(table=[["5 degC", "60 min", "24 h"], ["25 degC", "18 min", "7 h"]])
        ),
    }
    return [
        samples.document(),
        samples.document(areas=kinds, part_mixes=True),
        samples.document(air="41 degC"),
        blends,
    ]


def same(found: Any, frozen: Any, where: str = "") -> list[str]:
    """Where two answers differ, floats by more than a billionth."""
    if isinstance(found, dict) and isinstance(frozen, dict) and list(found) == list(frozen):
        return [d for key in found for d in same(found[key], frozen[key], f"{where}.{key}")]
    if isinstance(found, list) and isinstance(frozen, list) and len(found) == len(frozen):
        pairs = zip(found, frozen, strict=True)
        return [d for k, (a, b) in enumerate(pairs) for d in same(a, b, f"{where}[{k}]")]
    if isinstance(found, float) and isinstance(frozen, float | int):
        return [] if found == pytest.approx(frozen, rel=1e-9, abs=1e-12) else [where]
    return [] if found == frozen else [where]


def test_answers_change_only_with_the_engines_version() -> None:
    frozen = json.loads(FILE.read_text(encoding="utf-8"))
    assert frozen["version"] == ENGINE_VERSION
    answers = [answer(each) for each in documents()]
    assert same(json.loads(json.dumps(answers)), frozen["answers"]) == []


if __name__ == "__main__":
    kept = {"version": ENGINE_VERSION, "answers": [answer(each) for each in documents()]}
    FILE.write_text(json.dumps(kept, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")
