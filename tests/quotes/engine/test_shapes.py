import math
from collections.abc import Mapping
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from shapely.geometry import Polygon

from quotes.engine.areas import parse_shape
from quotes.engine.errors import EngineError
from quotes.engine.shapes import Shape

from . import samples

FIVE_BY_THREE = {"kind": "rectangle", "length": "5 m", "width": "3 m"}


def read(**data: object) -> Shape:
    return parse_shape(data, "areas[0].shapes[0]")


@pytest.mark.parametrize(
    ("data", "area", "edge"),
    [
        (FIVE_BY_THREE, 15.0, 16.0),
        ({"kind": "triangle", "a": "3 m", "b": "4 m", "c": "5 m"}, 6.0, 12.0),
        ({"kind": "trapezium", "a": "6 m", "b": "4 m", "height": "2 m"}, 10.0, None),
        (
            {"kind": "trapezium", "a": "6 m", "b": "4 m", "height": "2 m", "isosceles": True},
            10.0,
            10 + 2 * math.sqrt(5),
        ),
        ({"kind": "circle", "diameter": "2 m"}, math.pi, 2 * math.pi),
        ({"kind": "sector", "radius": "2 m", "angle": "90 deg"}, math.pi, math.pi + 4),
        ({"kind": "sector", "radius": "2 m", "angle": "360 deg"}, 4 * math.pi, 4 * math.pi),
        (
            {"kind": "ring", "outer_diameter": "4 m", "inner_diameter": "2 m"},
            3 * math.pi,
            6 * math.pi,
        ),
        ({"kind": "outline", "points": [[0, 0], [5, 0], [5, 3], [0, 3]]}, 15.0, 16.0),
        (
            {"kind": "outline", "points": [[0, 0], [10, 0], [10, 10]], "unit": "ft"},
            50 * 0.3048**2,
            (20 + math.sqrt(200)) * 0.3048,
        ),
        (
            {
                "kind": "offsets",
                "offsets": ["0 m", "2 m", "0 m"],
                "spacing": "3 m",
                "rule": "simpson",
            },
            8.0,
            None,
        ),
        (
            {
                "kind": "offsets",
                "offsets": ["1 m", "2 m", "3 m"],
                "distances": ["0 m", "1 m", "4 m"],
                "rule": "trapezoidal",
            },
            9.0,
            None,
        ),
        (
            {
                "kind": "sides_and_diagonals",
                "triangles": [["3 m", "4 m", "5 m"], ["5 m", "3 m", "4 m"]],
            },
            12.0,
            14.0,
        ),
    ],
)
def test_each_kind_has_its_area_and_edge(
    data: Mapping[str, object], area: float, edge: float | None
) -> None:
    shape = parse_shape(data, "s")
    assert shape.area_m2 == pytest.approx(area, rel=1e-12)
    assert shape.edge_m == (None if edge is None else pytest.approx(edge, rel=1e-12))
    assert shape.area.to("m**2").magnitude == shape.area_m2
    assert shape.workings[0].result.startswith(f"{area:.4f}".rstrip("0").rstrip("."))


@pytest.mark.parametrize(
    ("data", "code", "where"),
    [
        ({"kind": "triangle", "a": "1 m", "b": "1 m", "c": "2 m"}, "not_closed", "s"),
        (
            {"kind": "ring", "outer_diameter": "1 m", "inner_diameter": "1 m"},
            "bad_ring",
            "s.inner_diameter",
        ),
        (
            {"kind": "outline", "points": [[0, 0], [2, 2], [2, 0], [0, 2]]},
            "self_crossing",
            "s.points",
        ),
        (
            {"kind": "outline", "points": [[0, 0], [1, 0], [1, 0], [0, 1]]},
            "repeated_corner",
            "s.points[2]",
        ),
        ({"kind": "outline", "points": [[0, 0], [1, 1], [0, 0]]}, "bad_count", "s.points"),
        ({"kind": "outline", "points": [[0, 0], [1, "1"], [0, 1]]}, "bad_type", "s.points[1][1]"),
        ({"kind": "outline", "points": [[0, 0], [1, True], [0, 1]]}, "bad_type", "s.points[1][1]"),
        ({"kind": "sector", "radius": "1 m", "angle": "361 deg"}, "out_of_range", "s.angle"),
        (
            {"kind": "offsets", "offsets": ["0 m", "0 m"], "spacing": "1 m", "rule": "simpson"},
            "no_area",
            "s.offsets",
        ),
        ({"kind": "offsets", "offsets": ["1 m", "1 m"], "rule": "simpson"}, "bad_base", "s"),
        (
            {
                "kind": "offsets",
                "offsets": ["1 m", "1 m"],
                "distances": ["0 m", "0 m"],
                "rule": "simpson",
            },
            "bad_order",
            "s.distances[1]",
        ),
        (
            {"kind": "offsets", "offsets": ["1 m", "1 m"], "spacing": "1 m", "rule": "guess"},
            "bad_choice",
            "s.rule",
        ),
        ({**FIVE_BY_THREE, "height": "1 m"}, "unknown_key", "s.height"),
        ({"kind": "rectangle", "length": "5 m"}, "missing_key", "s.width"),
        ({"kind": "rectangle", "length": 5, "width": "3 m"}, "no_unit", "s.length"),
        ({"kind": "blob"}, "bad_choice", "s.kind"),
        ({"length": "5 m"}, "missing_key", "s.kind"),
        ({**FIVE_BY_THREE, "deduct": 1}, "bad_type", "s.deduct"),
        ({**FIVE_BY_THREE, "shared": "17 m"}, "shared_too_long", "s.shared"),
        ({**FIVE_BY_THREE, "deduct": True, "shared": "1 m"}, "not_for_deductions", "s.shared"),
    ],
)
def test_what_no_figure_on_the_ground_can_have_is_refused(
    data: Mapping[str, object], code: str, where: str
) -> None:
    with pytest.raises(EngineError) as refused:
        parse_shape(data, "s")
    assert (refused.value.code, refused.value.where) == (code, where)


def test_a_shape_that_does_not_close_is_told_by_how_much() -> None:
    with pytest.raises(EngineError) as refused:
        read(kind="triangle", a="1 m", b="1.5 m", c="3 m")
    assert refused.value.message == (
        "sides of 1 m, 1.5 m and 3 m do not close: the longest, 3 m, must be shorter than the "
        "other two together, 2.5 m"
    )


def test_a_shape_describes_itself_with_its_dimensions() -> None:
    assert read(**FIVE_BY_THREE).describe() == "rectangle 5 m × 3 m"
    assert read(**FIVE_BY_THREE, deduct=True).describe() == "rectangle 5 m × 3 m, deducted"


@given(samples.shapes())
def test_the_outline_drawn_has_the_area(data: dict[str, Any]) -> None:
    shape = parse_shape(data, "s")
    drawn = Polygon(shape.outline[0], shape.outline[1:])
    # A drawn arc lies a little inside the true one.
    assert drawn.area == pytest.approx(shape.area_m2, rel=0.006)
    assert drawn.is_valid


def _perturbed(data: Mapping[str, Any], rng: np.random.Generator, tape: float) -> dict[str, Any]:
    """The shape measured again with an error on every taped length or corner."""

    def again(value: Any) -> Any:
        if isinstance(value, str) and value.endswith(" m"):
            return f"{float(value[:-2]) + rng.normal(0, tape):.9f} m"
        if isinstance(value, float | int) and not isinstance(value, bool):
            return value + rng.normal(0, tape)
        return [again(each) for each in value] if isinstance(value, list) else value

    return {key: again(value) for key, value in data.items()}


@pytest.mark.parametrize(
    "data",
    [
        FIVE_BY_THREE,
        {"kind": "triangle", "a": "5 m", "b": "6 m", "c": "7 m"},
        {"kind": "trapezium", "a": "6 m", "b": "4 m", "height": "2 m"},
        {"kind": "circle", "diameter": "4 m"},
        {"kind": "sector", "radius": "4 m", "angle": "80 deg"},
        {"kind": "ring", "outer_diameter": "6 m", "inner_diameter": "3 m"},
        {"kind": "outline", "points": [[0.0, 0.0], [6.0, 0.0], [7.0, 4.0], [2.0, 3.0], [0.0, 5.0]]},
        {
            "kind": "offsets",
            "offsets": ["1 m", "2 m", "2.5 m", "1.5 m", "1 m"],
            "spacing": "2 m",
            "rule": "simpson",
        },
        {"kind": "sides_and_diagonals", "triangles": [["5 m", "6 m", "7 m"]]},
    ],
)
def test_the_tapes_error_is_propagated_as_simulation_says(data: dict[str, Any]) -> None:
    rng = np.random.default_rng(20)
    tape = 0.01
    again = dict(data)
    found = []
    for _ in range(4000):
        measured = _perturbed(again, rng, tape)
        if data["kind"] == "offsets":  # the base is one taped length of four spacings
            measured["spacing"] = f"{2 + rng.normal(0, tape) / 4:.9f} m"
        found.append(parse_shape(measured, "s").area_m2)
    predicted = parse_shape(data, "s").uncertainty_m2(tape)
    assert np.std(found) == pytest.approx(predicted, rel=0.06)


@given(samples.shapes())
def test_area_scales_with_the_square_of_length(data: dict[str, Any]) -> None:
    def twice(value: Any) -> Any:
        ends = isinstance(value, str) and value.endswith(" mm")
        return f"{2 * int(value[:-3])} mm" if ends else value

    small = parse_shape(data, "s")
    large = parse_shape({key: twice(value) for key, value in data.items()}, "s")
    assert large.area_m2 == pytest.approx(4 * small.area_m2, rel=1e-9)
    if small.edge_m is not None:
        assert large.edge_m == pytest.approx(2 * small.edge_m, rel=1e-9)
