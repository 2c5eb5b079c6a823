"""The workings' own arithmetic, followed with a pencil."""

from typing import Any

import pytest

from quotes.engine.document import answer

from . import samples


def steps(document: dict[str, Any], word: str) -> list[dict[str, Any]]:
    found: Any = answer(document)["workings"]
    return [step for step in found if word in step["step"]]


def test_room_to_spare_by_hand_agrees_with_the_integrated_chance() -> None:
    sizes = {"length": "6.2 m", "width": "3.4 m"}
    document = samples.document(
        areas=[samples.area(shapes=[{"kind": "rectangle", **sizes}], base_texture="0 mm")],
        waste_percent=5,
    )

    (room,) = steps(document, "room to spare")
    (risk,) = steps(document, "chance of running short")
    found: Any = answer(document)

    # 21.08 m² x 1.05 / 3.15 m² = 7.0267 mixes, 8 given: room 13.85 %, by hand
    assert room["inputs"]["room"] == "13.85 %"
    # root(1² + 0.5²) = 1.118 mm of 20 mm; 30 of 1777.8 kg/m³; together with 1 %: 5.92 %
    assert room["inputs"]["depth and texture together"] == "5.59 %"
    assert room["inputs"]["density"] == "1.69 %"
    assert room["result"].startswith("spread 5.92 %, room 2.34 of it: about 1 %")
    assert found["risk"]["probability_short"] == pytest.approx(0.010, abs=0.002)
    assert "0 spare mixes bring it" in risk["result"]


def test_nothing_unsure_is_said_and_divides_by_nothing() -> None:
    unsure = {"area_percent": 0, "depth": "0 mm", "density": "0 kg/m^3", "texture": "0 mm"}

    (room,) = steps(samples.document(uncertainty=unsure), "room to spare")

    assert room["result"] == "nothing is unsure"
