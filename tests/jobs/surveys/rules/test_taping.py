"""What is typed for each kind of shape, read for the engine and written back."""

from __future__ import annotations

from typing import Any

import pytest

from jobs.surveys.enums import ShapeKind
from jobs.surveys.rules.taping import TAPED, TypedError, key_at, read_typed, written
from quotes.engine.areas import KINDS, parse_shape

TYPED: dict[str, tuple[dict[str, Any], float]] = {
    # What a tape measures, and the area by the handbook formula, worked out by hand.
    "rectangle": ({"length": "6.2 m", "width": "3.4 m"}, 21.08),
    "triangle": ({"a": "3 m", "b": "4 m", "c": "5 m"}, 6.0),
    "trapezium": ({"a": "5 m", "b": "3 m", "height": "2 m", "isosceles": True}, 8.0),
    "circle": ({"diameter": "2 m"}, 3.141593),
    "sector": ({"radius": "2 m", "angle": "90 deg"}, 3.141593),
    "ring": ({"outer_diameter": "4 m", "inner_diameter": "2 m"}, 9.424778),
    "outline": ({"points": "0, 0\n4, 0\n4, 3\n0, 3", "unit": "m"}, 12.0),
    "offsets": (
        {"offsets": "2 m, 3 m, 2 m", "spacing": "1.5 m", "rule": "simpson"},
        1.5 / 3 * (2 + 4 * 3 + 2),
    ),
    "sides_and_diagonals": ({"triangles": "3 m, 4 m, 5 m\n5 m, 4 m, 3 m"}, 12.0),
}


def test_every_kind_of_the_engine_can_be_typed() -> None:
    assert set(TAPED) == set(KINDS) == {kind.value for kind in ShapeKind} == set(TYPED)


@pytest.mark.parametrize("kind", TYPED)
def test_what_is_typed_is_what_the_engine_measures(kind: str) -> None:
    typed, area = TYPED[kind]
    found = read_typed(kind, typed)
    assert parse_shape({"kind": kind, **found}, "shape").area_m2 == pytest.approx(area, rel=1e-6)


@pytest.mark.parametrize("kind", TYPED)
def test_measurements_written_back_read_the_same(kind: str) -> None:
    found = read_typed(kind, TYPED[kind][0])
    assert read_typed(kind, written(found)) == found


def test_corners_are_read_with_semicolons_spaces_and_brackets() -> None:
    expected = {"points": [[0.0, 0.0], [6.2, 0.0], [6.2, -3.4]]}
    assert read_typed("outline", {"points": "(0, 0); 6.2 0\n[6.2,-3.4]"}) == expected


@pytest.mark.parametrize(
    ("kind", "typed", "key", "sentence"),
    [
        (
            "outline", {"points": "0, 0\n6.2"}, "points",
            "Corner 2, '6.2', is not two numbers; write x and y with a comma between, as 6.2, 3.4.",
        ),
        (
            "outline", {"points": "0, 0\n1e5, nan"}, "points",
            ("Corner 2, '1e5, nan', is not two numbers; write x and y with a comma between, as "
            "6.2, 3.4."),
        ),
        (
            "sides_and_diagonals", {"triangles": "3 m, 4 m"}, "triangles",
            ("Triangle 1, '3 m, 4 m', has not three sides; write them with commas between, as "
            "5.2 m, 4.1 m, 6.6 m."),
        ),
    ],
)  # fmt: skip
def test_a_list_that_cannot_be_read_names_its_line(
    kind: str, typed: dict[str, Any], key: str, sentence: str
) -> None:
    with pytest.raises(TypedError) as refusal:
        read_typed(kind, typed)
    assert (refusal.value.key, refusal.value.message) == (key, sentence)


@pytest.mark.parametrize(
    ("where", "kind", "key"),
    [
        ("shape.length", "rectangle", "length"),
        ("shape.points[2][0]", "outline", "points"),
        ("shape.triangles[1]", "sides_and_diagonals", "triangles"),
        ("shapes[1].shared", "rectangle", "shared"),
        ("shape", "triangle", "a"),
        ("", "circle", "diameter"),
    ],
)
def test_the_engines_place_is_a_field(where: str, kind: str, key: str) -> None:
    assert key_at(where, kind) == key
