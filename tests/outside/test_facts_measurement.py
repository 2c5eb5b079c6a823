"""Site measurement against published and textbook figures (facts on areas by tape)."""

import math

import pytest

from quotes.engine.areas import parse_shape
from quotes.engine.cards import Component, Kit, make_blend
from quotes.engine.offsets import simpson, trapezoidal
from tests.outside.sources import fact

# Ten offsets at 15 m, an even number: a worked example of Indian surveying textbooks.
OFFSETS = (3.50, 4.30, 6.75, 5.25, 7.50, 8.80, 7.90, 6.40, 4.40, 3.25)
# The same with 6.15 for the third, as a copy at this address has it.
COPIED = (3.50, 4.30, 6.15, 5.25, 7.50, 8.80, 7.90, 6.40, 4.40, 3.25)
PAGE = (
    "https://askfilo.com/user-question-answers-smart-solutions/"
    "the-following-offsets-were-taken-at-15-m-intervals-from-a-3435383334323830"
)


def by_offsets(values: tuple[float, ...], rule: str) -> float:
    """The area of offsets at 15 m through the document's own reader."""
    data = {
        "kind": "offsets",
        "offsets": [f"{value} m" for value in values],
        "spacing": "15 m",
        "rule": rule,
    }
    return parse_shape(data, "shape").area_m2


@fact(rows=2, source=PAGE, mark="seen")
def test_even_number_of_offsets_as_the_page_has_them() -> None:
    """Ten offsets at 15 m, third 6.15: trapezoidal 811.125, Simpson and trapezium 807.375 m²."""
    assert by_offsets(COPIED, "trapezoidal") == pytest.approx(811.125, abs=1e-9)
    assert by_offsets(COPIED, "simpson") == pytest.approx(807.375, abs=1e-9)


@fact(rows=3, source="Indian surveying textbooks (memory); outputs by arithmetic", mark="memory")
def test_even_number_of_offsets() -> None:
    """Ten offsets at 15 m: trapezoidal 820.125, Simpson 756.00 and last strip 57.375 m²."""
    assert by_offsets(OFFSETS, "trapezoidal") == pytest.approx(820.125, abs=1e-9)
    assert by_offsets(OFFSETS[:9], "simpson") == pytest.approx(756.0, abs=1e-9)
    assert by_offsets(OFFSETS, "simpson") == pytest.approx(756.0 + 57.375, abs=1e-9)


@fact(rows=1, source=PAGE, mark="seen")
def test_simpson_needs_an_odd_number_of_ordinates() -> None:
    """An even number is split: Simpson on the odd part, a trapezium for the last strip."""
    assert simpson([0.0, 1.0, 2.0, 3.0]).notes == (
        "Simpson on offsets 1 to 3",
        "trapezium for the strip from offset 3 to 4",
    )
    assert simpson([0.0, 1.0, 2.0]).notes == ("Simpson on offsets 1 to 3",)


@fact(rows=2, source="unequal chainages 0 to 80 m, worked again by arithmetic", mark="derived")
def test_unequal_chainages_are_split_at_each_change() -> None:
    """Offsets at 0, 5, 10, 15, 20, 30, 40, 60, 80 m: 354.00 and 349.333 m²."""
    # The public page of this exercise prints 182.75 and 180.17, which no rule gives: a trap.
    stations = [0.0, 5, 10, 15, 20, 30, 40, 60, 80]
    heights = [2.5, 3.8, 4.6, 5.2, 6.1, 4.7, 5.8, 3.9, 2.2]

    def area(weights: tuple[float, ...]) -> float:
        return math.fsum(w * h for w, h in zip(weights, heights, strict=True))

    assert area(trapezoidal(stations).weights) == pytest.approx(354.0, abs=1e-9)
    assert area(simpson(stations).weights) == pytest.approx(349.333, abs=5e-4)


@fact(rows=3, source="Heron's formula, textbook triangles", mark="memory")
@pytest.mark.parametrize(
    ("sides", "area"), [((13, 14, 15), 84.0), ((3, 4, 5), 6.0), ((7, 8, 9), 26.8328)]
)
def test_triangles_by_three_sides(sides: tuple[int, int, int], area: float) -> None:
    """Triangles 13-14-15, 3-4-5 and 7-8-9: 84, 6 and 26.8328 m²."""
    data = {"kind": "triangle", **{n: f"{s} m" for n, s in zip("abc", sides, strict=True)}}
    assert parse_shape(data, "shape").area_m2 == pytest.approx(area, abs=5e-5)


@fact(rows=1, source="shoelace formula, the common worked example", mark="memory")
def test_polygon_by_corners_in_either_direction_from_any_corner() -> None:
    """(3,4), (5,11), (12,8), (9,5), (5,6) encloses 30, whatever the direction and the start."""
    points = [[3, 4], [5, 11], [12, 8], [9, 5], [5, 6]]
    for start in range(5):
        turned = points[start:] + points[:start]
        for given in (turned, turned[::-1]):
            shape = parse_shape({"kind": "outline", "points": given}, "shape")
            assert shape.area_m2 == pytest.approx(30.0, abs=1e-12)


@fact(rows=3, source="plane geometry: ring, sector, depth times area", mark="derived")
def test_identities_of_plane_geometry() -> None:
    """A ring is two circles, four quarter sectors a circle; mm times m² is litres."""
    ring = {"kind": "ring", "outer_diameter": "5 m", "inner_diameter": "3 m"}
    circles = [
        parse_shape({"kind": "circle", "diameter": f"{d} m"}, "shape").area_m2 for d in (5, 3)
    ]
    assert parse_shape(ring, "shape").area_m2 == pytest.approx(circles[0] - circles[1])
    quarter = {"kind": "sector", "radius": "2.5 m", "angle": "90 deg"}
    assert 4 * parse_shape(quarter, "shape").area_m2 == pytest.approx(circles[0])
    # At one kilogram a litre a mix of 18 kg is 18 litres: one square metre, 18 mm deep.
    water = Kit(10.0, 5.0, 60.0, 60.0, uv_stable=True)
    blend = make_blend(water, [Component("sand", 3.0, 1)], "blend", density=1000.0)
    assert blend.yield_m2(0.018) == pytest.approx(1.0)
