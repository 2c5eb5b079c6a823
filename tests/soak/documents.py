"""Take-off documents, valid ones with one to three things made wrong, against the engine.

The engine may answer or refuse with its own error; anything else that is raised, and an answer that
breaks a law of the take-off, is a failure.
"""

from __future__ import annotations

import json
import math
import random
import time
from copy import deepcopy
from typing import Any

from quotes.engine.document import answer_text
from quotes.engine.errors import EngineError
from tests.bench.documents import six_areas
from tests.soak.report import Report

VALUES: tuple[Any, ...] = (
    "",
    "3",
    "-3 m",
    "0 m",
    "1e308 m",
    "nan m",
    "3 m + 2 m",
    "12 ft 6 in",
    "3200mm",
    "3 kg",
    "20 degC",
    "70 %",
    "9" * 400 + " m",
    "\u0000",
    "３ m",
    "__import__('os')",
    None,
    True,
    False,
    0,
    -1,
    1e308,
    float("nan"),
    float("inf"),
    10**400,
    [],
    {},
    [[0, 0], [1, 1], [0, 1], [1, 0]],
    [[[[[[[[[[[[[[[]]]]]]]]]]]]]]],
)


def spots(value: Any) -> list[tuple[Any, Any]]:
    """Return every place of a document: the container and the key or index in it."""
    keys = list(value) if isinstance(value, dict) else range(len(value))
    found: list[tuple[Any, Any]] = []
    for key in keys:
        found.append((value, key))
        if isinstance(value[key], dict | list):
            found.extend(spots(value[key]))
    return found


def spoil(document: dict[str, Any], draw: random.Random) -> None:
    """Make one thing wrong, or merely other: a value, a key too many, too few, a part twice."""
    container, key = draw.choice(spots(document))
    kind = draw.randrange(5)
    if kind == 0:
        del container[key]
    elif kind == 1 and isinstance(container, list):
        container.append(deepcopy(container[key]))
    elif kind == 2 and isinstance(container, dict):
        container[draw.choice(["depth", "session", "surface", "humidity", "colour"])] = "20 mm"
    elif kind == 3 and isinstance(container[key], str):
        container[key] = container[key].replace("2", draw.choice(["20", "0.2", "-2", "2e3"]))
    else:
        container[key] = deepcopy(draw.choice(VALUES))


def laws_broken(answer: dict[str, Any]) -> list[str]:
    """Return the laws of a take-off that an answer breaks."""
    total = answer["total"]
    figures = [total[key] for key in ("area_m2", "mixes_exact", "mixes", "mass_kg", "kits")]
    mixed = math.fsum(component["kg"] for component in total["components"])
    laws = {
        "figures are finite and not negative": all(
            math.isfinite(one) and one >= 0 for one in figures
        ),
        "areas add up": math.isclose(
            math.fsum(area["area_m2"] for area in answer["areas"]), total["area_m2"], rel_tol=1e-9
        ),
        "resin and aggregate make the mass": math.isclose(
            total["resin_kg"] + total["aggregate_kg"], total["mass_kg"], rel_tol=1e-9
        ),
        "components make the aggregate": math.isclose(mixed, total["aggregate_kg"], rel_tol=1e-9),
        "mixes are enough": total["mixes"] >= total["mixes_exact"] * (1 - 1e-9) - 1e-9,
        "a chance is a chance": 0 <= answer["risk"]["probability_short"] <= 1,
    }
    return [law for law, holds in laws.items() if not holds]


def try_one(text: str, report: Report) -> None:
    """Give the engine one document and note what came of it."""
    try:
        broken = laws_broken(answer_text(text))
    except EngineError:
        report.count("refused")
    except Exception as error:  # noqa: BLE001 - exactly this is what the run looks for
        report.failures.append(f"{type(error).__name__}: {error}\n{text}")
    else:
        report.count("answered")
        report.failures += [f"{law} does not hold\n{text}" for law in broken]


def run(seconds: float, seed: int) -> Report:
    """Spoil documents until the time is up."""
    draw, report = random.Random(seed), Report()
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        document = six_areas(draw.randrange(97))
        for _ in range(draw.randrange(4)):
            spoil(document, draw)
        text = json.dumps(document)
        if draw.random() < 0.1:
            text = text[: draw.randrange(len(text))] + draw.choice(["", "}", "\x00", "[" * 5000])
        try_one(text, report)
    return report
