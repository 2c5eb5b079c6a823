"""Five thousand documents, half of them mutated: an answer that keeps the laws, or EngineError."""

import copy
import json
import math
import random
from typing import Any

from quotes.engine.document import answer_text
from quotes.engine.errors import EngineError

from . import samples

COUNT = 5_000
JUNK: list[Any] = [
    None, True, False, 0, -1, 3, 1e308, math.nan, math.inf, 10**40, "", " ", "3", "3 m", "0 m",
    "-3 m", "1e308 m", "nan m", "2*3 m", "__import__('os')", "12 degC", "9 kg", "70 %", "\ud800",
    "x" * 5000, [], {}, [[]], {"a": 1}, [["3 m"]], "5 mm", "12 ft 6 in", 0.25, 7, "1 h", "20 mm",
]  # fmt: skip
PLAUSIBLE: list[Any] = ["5 mm", "1.5 m", "20 mm", "30 mm", "12 degC", "25 kg", 2, 0.5, 3, True,
                        False, "1 h", "vehicles", "pedestrian", "heavy"]  # fmt: skip
SHAPES: list[dict[str, Any]] = [
    {"kind": "rectangle", "length": "6.2 m", "width": "3.4 m"},
    {"kind": "triangle", "a": "3 m", "b": "4 m", "c": "5 m"},
    {"kind": "trapezium", "a": "6 m", "b": "4 m", "height": "2 m", "isosceles": True},
    {"kind": "circle", "diameter": "12 ft 6 in"},
    {"kind": "sector", "radius": "2 m", "angle": "90 deg"},
    {"kind": "ring", "outer_diameter": "4 m", "inner_diameter": "2 m"},
    {"kind": "outline", "points": [[0, 0], [5, 0], [6, 4], [1, 3]]},
    {"kind": "offsets", "offsets": ["1 m", "2 m", "1.5 m"], "spacing": "2 m", "rule": "simpson"},
    {"kind": "sides_and_diagonals", "triangles": [["3 m", "4 m", "5 m"], ["5 m", "3 m", "4 m"]]},
]


def valid(rng: random.Random) -> dict[str, Any]:
    """A valid document with anything optional in it."""
    areas = []
    for k in range(rng.randint(1, 3)):
        each = samples.area(name=f"area {k}", depth=f"{rng.randint(15, 25)} mm")
        each["shapes"] = [copy.deepcopy(one) for one in rng.choices(SHAPES, k=rng.randint(1, 2))]
        for shape in each["shapes"][1:]:
            if rng.random() < 0.5:
                shape["shared"] = "1 m"
        if rng.random() < 0.3:
            each["session"] = rng.choice(["front", "back"])
        areas.append(each)
    found = samples.document(areas=areas, waste_percent=rng.choice([0, 5, 7.5]))
    if rng.random() < 0.3:
        found.update(surface=f"{rng.randint(-5, 45)} degC", humidity=f"{rng.randint(20, 100)} %")
    if rng.random() < 0.2:
        found["part_mixes"] = True
    if rng.random() < 0.3:
        found["uncertainty"] = {"tape": "5 mm", "depth": f"{rng.randint(0, 3)} mm"}
    if rng.random() < 0.3:
        found["blend"]["kit"] = samples.kit(
            table=[["5 degC", "60 min", "24 h"], ["25 degC", "18 min", "7 h"]], foot_time_20c="12 h"
        )
    if rng.random() < 0.3:
        del found["blend"]["yield"]
        found["blend"]["compacted_density"] = "1778 kg/m^3"
    if rng.random() < 0.2:
        found["blends"] = {"buff": found.pop("blend")}
        for each in areas:
            each["blend"] = "buff"
    return found


def places(value: Any) -> list[tuple[Any, Any]]:
    """Every (holder, key) of a document."""
    found: list[tuple[Any, Any]] = []
    if isinstance(value, dict | list):
        for key in value if isinstance(value, dict) else range(len(value)):
            found.append((value, key))
            found += places(value[key])
    return found


def mutate(data: dict[str, Any], rng: random.Random) -> None:
    """One to three things changed, dropped, doubled or added."""
    for _ in range(rng.randint(1, 3)):
        spots = places(data)
        if not spots:
            return
        holder, key = rng.choice(spots)
        kind = rng.random()
        if kind < 0.65:
            holder[key] = copy.deepcopy(rng.choice(JUNK if kind < 0.4 else PLAUSIBLE))
        elif kind < 0.8:
            del holder[key]
        elif isinstance(holder, list):
            holder.append(copy.deepcopy(holder[key]))
        else:
            holder[rng.choice(["extra", "deduct", "shared", "session", "limits"])] = rng.choice(
                JUNK
            )


def check_laws(found: dict[str, Any]) -> None:
    total = found["total"]
    assert total["mixes_exact"] > 0
    assert math.isclose(total["mixes_exact"], math.fsum(a["mixes_exact"] for a in found["areas"]))
    assert math.isclose(total["mixes"], math.fsum(s["mixes"] for s in found["sessions"]))
    assert total["kits"] >= total["mixes"] - 1e-9
    assert math.isclose(total["mass_kg"], total["resin_kg"] + total["aggregate_kg"])
    assert math.isclose(total["aggregate_kg"], math.fsum(c["kg"] for c in total["components"]))
    assert all(left["kg"] >= 0 for left in total["leftover"])
    assert 0 <= found["risk"]["probability_short"] <= 1
    assert found["risk"]["spare_mixes_for_5_percent"] >= 0
    for session in found["sessions"]:
        assert session["mixes"] >= session["mixes_exact"] - 1e-6
    times = [found["timing"]] if "blend" in found else list(found["timing"].values())
    for each in times:
        assert len({value is None for value in each.values()}) == 1
        assert each["cure_hours"] is None or each["cure_hours"] > 0


def test_five_thousand_documents_are_answered_or_refused_and_nothing_else() -> None:
    rng = random.Random(20_260_314)
    accepted = 0
    refusals = []
    for number in range(COUNT):
        data = valid(rng)
        if number % 2:
            mutate(data, rng)
        text = json.dumps(data)
        try:
            found = answer_text(text)
        except EngineError as error:
            refusals.append((number, json.dumps(error.as_dict(), ensure_ascii=False).encode()))
            continue
        accepted += 1
        json.dumps(found, allow_nan=False, ensure_ascii=False).encode()
        check_laws(found)
    assert [each for each in refusals if each[0] % 2 == 0] == []
    assert accepted >= 0.3 * COUNT
    assert len(refusals) > 0.2 * COUNT
