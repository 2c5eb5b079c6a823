import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import Polygon

from quotes.engine.areas import measure_area, parse_shape
from quotes.engine.tape_survey import join_triangles


def fan(points: list[tuple[float, float]]) -> list[tuple[float, float, float]]:
    """A polygon booked as triangles from its first corner, diagonal last and then first."""
    d = math.dist
    return [
        (d(points[0], points[k]), d(points[k], points[k + 1]), d(points[k + 1], points[0]))
        for k in range(1, len(points) - 1)
    ]


@given(st.lists(st.floats(2, 9), min_size=3, max_size=9))
def test_a_convex_polygon_by_sides_and_diagonals_agrees_with_shapely(gaps: list[float]) -> None:
    turned, total = [], sum(gaps)
    for k in range(len(gaps)):
        angle = 2 * math.pi * sum(gaps[:k]) / total
        turned.append((20 * math.cos(angle), 20 * math.sin(angle)))
    polygon = Polygon(turned)
    shape = parse_shape(
        {
            "kind": "sides_and_diagonals",
            "triangles": [[f"{side:.12f} m" for side in t] for t in fan(turned)],
        },
        "s",
    )
    assert shape.area_m2 == pytest.approx(polygon.area, rel=1e-6)
    assert shape.edge_m == pytest.approx(polygon.length, rel=1e-9)
    drawn = Polygon(shape.outline[0])
    assert drawn.area == pytest.approx(polygon.area, rel=1e-6)


def test_a_diagonal_read_twice_gives_the_misclosure() -> None:
    chain = join_triangles([(3.0, 4.0, 5.0), (5.012, 3.0, 4.0)])
    assert chain.misclosure == pytest.approx(0.012)
    assert chain.edge == pytest.approx(14.0)
    assert chain.loose == 0
    assert len(set(chain.measured_as)) == 6  # both readings are taped lengths


def test_a_diagonal_booked_once_is_one_taped_length() -> None:
    chain = join_triangles([(3.0, 4.0, 5.0), (5.0, 3.0, 4.0)])
    assert chain.misclosure == 0
    assert chain.measured_as == (0, 1, 2, 2, 4, 5)


def test_triangles_that_fit_nowhere_are_said_and_their_edge_is_unknown() -> None:
    shape = parse_shape(
        {
            "kind": "sides_and_diagonals",
            "triangles": [["3 m", "4 m", "5 m"], ["6 m", "7 m", "8 m"]],
        },
        "s",
    )
    assert shape.edge_m is None
    assert shape.misclosure_m == pytest.approx(1.0)
    assert "do not close" in shape.describe()
    assert shape.area_m2 == pytest.approx(6 + math.sqrt(10.5 * 4.5 * 3.5 * 2.5))
    found = measure_area([shape]).cautions("yard")
    assert [each.code for each in found] == ["misclosure"]


def test_several_sides_that_would_fit_leave_the_edge_unknown() -> None:
    # Neither the booking order nor the lengths say whether 3 or 4 is shared.
    assert join_triangles([(3.0, 4.0, 6.0), (3.0, 4.0, 5.0)]).edge is None


def test_equal_sides_give_the_same_edge_whichever_is_shared() -> None:
    assert join_triangles([(5.0, 5.0, 5.0), (5.0, 5.0, 5.0)]).edge == pytest.approx(20.0)
