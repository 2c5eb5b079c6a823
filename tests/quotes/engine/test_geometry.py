import math
import random
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import MultiPoint, Polygon
from shapely.geometry import Point as ShapelyPoint

from quotes.engine import geometry

coordinate = st.integers(-5000, 5000).map(lambda mm: mm / 1000)
corner = st.tuples(coordinate, coordinate)
corners = st.lists(corner, min_size=3, max_size=9, unique=True)


@st.composite
def star(draw: st.DrawFn) -> list[tuple[float, float]]:
    """A simple polygon, convex or not: corners at rising angles about the middle."""
    count = draw(st.integers(3, 24))
    radii = draw(st.lists(st.floats(0.2, 50), min_size=count, max_size=count))
    return [
        (r * math.cos(2 * math.pi * k / count), r * math.sin(2 * math.pi * k / count))
        for k, r in enumerate(radii)
    ]


# shapely (GEOS) is the general library that stands outside here.
@given(star())
def test_area_and_edge_agree_with_shapely(points: list[tuple[float, float]]) -> None:
    other = Polygon(points)
    assert abs(geometry.signed_area(points)) == pytest.approx(other.area, rel=1e-9)
    assert geometry.perimeter(points) == pytest.approx(other.length, rel=1e-9)


@given(corners)
def test_crossing_agrees_with_shapely_on_what_is_simple(points: list[tuple[float, float]]) -> None:
    assert (geometry.crossing(points) is None) == Polygon(points).is_valid


@given(star(), corner)
def test_inside_agrees_with_shapely(
    points: list[tuple[float, float]], spot: tuple[float, float]
) -> None:
    other = Polygon(points)
    assume(other.exterior.distance(ShapelyPoint(spot)) > 1e-9)
    assert (geometry.holds(points, spot) > 0) == other.contains(ShapelyPoint(spot))


@given(star(), star())
def test_within_agrees_with_shapely(
    inner: list[tuple[float, float]], outer: list[tuple[float, float]]
) -> None:
    a, b = Polygon(inner), Polygon(outer)
    assume(a.exterior.distance(b.exterior) > 1e-9 or not b.buffer(1e-9).contains(a))
    assert geometry.lies_within(inner, outer) == b.covers(a)


@given(st.lists(corner, min_size=3, max_size=30))
def test_hull_agrees_with_shapely(points: list[tuple[float, float]]) -> None:
    other = MultiPoint(points).convex_hull
    assume(other.geom_type == "Polygon")
    ring = geometry.hull(points)
    assert geometry.signed_area(ring) == pytest.approx(other.area, rel=1e-9)
    widest, narrowest, edge = geometry.reach(points)
    assert edge == pytest.approx(other.length, rel=1e-9)
    assert widest >= narrowest * (1 - 1e-12)


def test_a_turn_too_close_for_floats_is_exact() -> None:
    a, b = (0.1, 0.1), (0.3, 0.3)
    c = (0.7, 0.7)
    assert geometry.turn(a, b, c) == 0.0
    nudged = (0.7, math.nextafter(0.7, 1))
    exact = (Fraction(b[0]) - Fraction(a[0])) * (Fraction(nudged[1]) - Fraction(a[1])) - (
        Fraction(b[1]) - Fraction(a[1])
    ) * (Fraction(nudged[0]) - Fraction(a[0]))
    assert exact > 0
    assert geometry.turn(a, b, nudged) > 0


@pytest.mark.parametrize(
    "points",
    [
        [(0, 0), (2, 2), (2, 0), (0, 2)],  # a bow tie
        [(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)],  # a corner touching a side
        [(0, 0), (4, 0), (2, 0), (2, 3)],  # a side folded back
    ],
)
def test_crossing_finds_what_crosses(points: list[tuple[float, float]]) -> None:
    assert geometry.crossing(points) is not None


def test_corners_in_line_are_no_crossing() -> None:
    points = [(0.0, 0.0), (1.0, 0.0), (4.0, 0.0), (4.0, 3.0), (4.0, 4.0), (0.0, 4.0)]
    assert geometry.crossing(points) is None


def test_heron_is_stable_for_needles() -> None:
    # Kahan's needle: a = b = 100000, c = 1.00005 mm; exact by fractions of the doubles.
    a, b, c = 100000.0, 99999.99979, 0.00029
    s = (Fraction(a) + Fraction(b) + Fraction(c)) / 2
    exact = math.sqrt(s * (s - Fraction(a)) * (s - Fraction(b)) * (s - Fraction(c)))
    assert geometry.heron(a, b, c) == pytest.approx(exact, rel=1e-9)


def test_a_drawn_circle_is_nearly_round() -> None:
    ring = geometry.circle(2.0)
    assert geometry.signed_area(ring) == pytest.approx(math.pi, rel=2e-3)
    assert geometry.signed_area(geometry.circle(2.0, clockwise=True)) < 0
    assert geometry.box(ring) == pytest.approx((-1, -1, 1, 1))


def test_an_apex_has_its_distances() -> None:
    rng = random.Random(7)
    for _ in range(100):
        base, left = rng.uniform(1, 9), rng.uniform(1, 9)
        right = rng.uniform(abs(base - left) + 0.01, base + left - 0.01)
        x, y = geometry.apex(base, left, right)
        assert math.hypot(x, y) == pytest.approx(left)
        assert math.hypot(x - base, y) == pytest.approx(right)
