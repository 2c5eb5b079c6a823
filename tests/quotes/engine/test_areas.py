import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine.areas import AreaMeasure, measure_area, parse_shape
from quotes.engine.errors import EngineError

from . import samples


def measured(*data: dict[str, Any]) -> AreaMeasure:
    return measure_area([parse_shape(each, f"s[{k}]") for k, each in enumerate(data)], "s")


def rectangle(long: float, wide: float, **more: Any) -> dict[str, Any]:
    return {"kind": "rectangle", "length": f"{long} m", "width": f"{wide} m", **more}


def test_deductions_are_taken_off_the_area_and_not_off_the_edge() -> None:
    found = measured(rectangle(6.2, 3.4), {"kind": "circle", "diameter": "0.6 m", "deduct": True})
    assert found.area_m2 == pytest.approx(6.2 * 3.4 - math.pi * 0.09)
    assert found.edge_m == pytest.approx(19.2)


@pytest.mark.parametrize(
    ("shapes", "edge"),
    [
        ((rectangle(5, 3), rectangle(3, 2, shared="3 m")), 16 + 10 - 6),
        ((rectangle(5, 3), rectangle(3, 2, shared="0 m")), 26),
        ((rectangle(5, 3), rectangle(3, 2)), None),
        ((rectangle(5, 3), rectangle(3, 2, shared="3 m"), rectangle(1, 1)), None),
        ((rectangle(5, 3), rectangle(3, 2, shared="3 m"), rectangle(1, 1, shared="1 m")), 22),
        (
            (
                rectangle(5, 3),
                {"kind": "trapezium", "a": "2 m", "b": "1 m", "height": "1 m", "shared": "1 m"},
            ),
            None,
        ),
    ],
)
def test_the_edge_is_the_outlines_less_twice_what_is_shared(
    shapes: tuple[dict[str, Any], ...], edge: float | None
) -> None:
    assert measured(*shapes).edge_m == (None if edge is None else pytest.approx(edge))


def test_what_is_restrained_needs_no_edging() -> None:
    found = measured(rectangle(5, 3, restrained="5 m"))
    assert (found.edge_m, found.edging_m) == (16.0, 11.0)


@pytest.mark.parametrize(
    ("shapes", "code", "where"),
    [
        ((rectangle(1, 1), rectangle(2, 2, deduct=True)), "nothing_left", "s"),
        ((rectangle(2, 2, deduct=True),), "nothing_left", "s"),
        (
            (rectangle(9, 1), {"kind": "circle", "diameter": "1.2 m", "deduct": True}),
            "deduction_outside",
            "s[1]",
        ),
        ((rectangle(3, 3), rectangle(5, 0.5, deduct=True)), "deduction_outside", "s[1]"),
        ((rectangle(1, 1, shared="1 m"), rectangle(1, 1)), "shared_too_long", "s[0].shared"),
        ((rectangle(1, 1), rectangle(9, 9, shared="6 m")), "shared_too_long", "s[1].shared"),
        (
            (
                {"kind": "outline", "points": [[0, 0], [4, 0], [4, 4], [0, 4]]},
                {"kind": "outline", "points": [[3, 3], [5, 3], [5, 5], [3, 5]], "deduct": True},
            ),
            "deduction_outside",
            "s[1]",
        ),
        (  # inside the hull but across the notch of an L
            (
                {"kind": "outline", "points": [[0, 0], [4, 0], [4, 1], [1, 1], [1, 4], [0, 4]]},
                {"kind": "outline", "points": [[0.5, 0.5], [3.5, 0.5], [0.5, 3.5]], "deduct": True},
            ),
            "deduction_outside",
            "s[1]",
        ),
    ],
)
def test_what_cannot_be_is_refused(
    shapes: tuple[dict[str, Any], ...], code: str, where: str
) -> None:
    with pytest.raises(EngineError) as refused:
        measured(*shapes)
    assert (refused.value.code, refused.value.where) == (code, where)


def test_a_deduction_may_touch_the_edge() -> None:
    found = measured(
        {"kind": "outline", "points": [[0, 0], [4, 0], [4, 4], [0, 4]]},
        {"kind": "outline", "points": [[0, 0], [1, 0], [1, 1], [0, 1]], "deduct": True},
    )
    assert found.area_m2 == pytest.approx(15.0)


@given(st.lists(samples.shapes(), min_size=1, max_size=5), st.randoms(use_true_random=False))
def test_the_order_of_shapes_does_not_matter(data: list[dict[str, Any]], rng: Any) -> None:
    shuffled = list(data)
    rng.shuffle(shuffled)
    assert measured(*data).area_m2 == measured(*shuffled).area_m2


@given(samples.shapes())
def test_deducting_and_adding_again_changes_nothing(data: dict[str, Any]) -> None:
    yard = rectangle(99, 99)
    found = measured(yard, {**data, "deduct": True}, data)
    assert found.area_m2 == pytest.approx(99 * 99, rel=1e-12)


def test_the_plan_sets_shapes_beside_one_another_and_keeps_measured_places() -> None:
    plan = measured(rectangle(4, 2), rectangle(1, 3), rectangle(1, 1, deduct=True)).outlines
    assert plan[0].rings[0][0] == (0.0, 0.0)
    assert plan[1].rings[0][0] == (4.5, 0.0)
    assert [piece.deduct for piece in plan] == [False, False, True]
    corners = [[2, 2], [3, 2], [3, 3]]
    assert measured({"kind": "outline", "points": corners}).outlines[0].rings[0] == (
        (2.0, 2.0),
        (3.0, 2.0),
        (3.0, 3.0),
    )


def test_the_tapes_uncertainty_adds_in_squares() -> None:
    one = parse_shape(rectangle(4, 3), "s")
    both = measure_area([one, one], tape_m=0.01)
    assert both.uncertainty_m2 == pytest.approx(0.01 * math.sqrt(50))
