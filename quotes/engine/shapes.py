"""Shapes as a tape measures them: area, edge, outline to draw, and how the tape's error enters.

`parse_shape` reads one shape of the take-off document. The six plain figures are here; what is
measured by corners, offsets or diagonals is in `shapes_measured`. Sources: plane geometry; the
propagation of independent errors to first order.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, partial

from quotes.engine import geometry, reading, units
from quotes.engine.errors import ShapeError
from quotes.engine.geometry import Ring
from quotes.engine.reading import at
from quotes.engine.units import Q_, Quantity
from quotes.engine.workings import Working, figure

LEAST_AREA = 1e-6
ALWAYS = ("kind", "deduct", "shared", "restrained")


@dataclass(frozen=True)
class Shape:
    """One measured shape. Lengths in m, areas in m².

    edge_m is None where the measurements do not give it; sensitivity2 is the sum over the tape's
    lengths of (change of area with that length)², in m²; placed says that the outline's
    coordinates are measured, so that two placed shapes lie truly to one another; drawn_true that
    the outline has the shape's real form, wherever it lies.
    """

    kind: str
    area_m2: float
    edge_m: float | None
    tape_lengths: tuple[tuple[str, float], ...]
    sensitivity2: float
    sentence: str
    rings: Callable[[], tuple[Ring, ...]]
    deduct: bool = False
    shared_m: float | None = None
    restrained_m: float = 0.0
    placed: bool = False
    drawn_true: bool = True
    misclosure_m: float | None = None
    workings: tuple[Working, ...] = field(default=())

    @cached_property
    def outline(self) -> tuple[Ring, ...]:
        """Rings of (x, y) in m, the first the outer one, for drawing to scale."""
        return self.rings()

    @property
    def area(self) -> Quantity:
        """The area as a quantity."""
        return Q_(self.area_m2, "m**2")

    def describe(self) -> str:
        """A sentence with the dimensions ('rectangle 6.2 m × 3.4 m, deducted')."""
        return f"{self.sentence}, deducted" if self.deduct else self.sentence

    def uncertainty_m2(self, tape_m: float) -> float:
        """One standard deviation of the area when each taped length has one of `tape_m`."""
        return tape_m * math.sqrt(self.sensitivity2)


Reader = Callable[[Mapping[str, object], str], Shape]


def lengths(data: Mapping[str, object], where: str, *names: str) -> tuple[float, ...]:
    """Several lengths of one shape, in m."""
    return tuple(units.length(data[name], at(where, name)) for name in names)


def plain(
    kind: str,
    area_m2: float,
    edge_m: float | None,
    taped: Sequence[tuple[str, float, float]],
    sentence: str,
    rings: Callable[[], tuple[Ring, ...]],
    *,
    formula: str,
    drawn_true: bool = True,
) -> Shape:
    """A shape from its area, edge and (name, metres, change of area with it) for each length."""
    working = Working(
        f"area of the {kind}",
        formula,
        tuple((name, figure(metres, "m")) for name, metres, _ in taped),
        figure(area_m2, "m²", 4),
        "plane geometry",
    )
    return Shape(
        kind,
        area_m2,
        edge_m,
        tuple((name, metres) for name, metres, _ in taped),
        math.fsum(slope * slope for _, _, slope in taped),
        sentence,
        rings,
        drawn_true=drawn_true,
        workings=(working,),
    )


def polygon(*points: geometry.Point) -> tuple[Ring, ...]:
    """One ring."""
    return (points,)


def _rectangle(data: Mapping[str, object], where: str) -> Shape:
    long, wide = lengths(data, where, "length", "width")
    return plain(
        "rectangle",
        long * wide,
        2 * (long + wide),
        (("length", long, wide), ("width", wide, long)),
        f"rectangle {figure(long, 'm')} × {figure(wide, 'm')}",
        partial(polygon, (0.0, 0.0), (long, 0.0), (long, wide), (0.0, wide)),
        formula="length × width",
    )


def check_triangle(a: float, b: float, c: float, where: str) -> float:
    """The area of a triangle by its sides, or the refusal that says why they do not meet."""
    found = geometry.heron(a, b, c)
    if found < LEAST_AREA:
        longest = max(a, b, c)
        raise ShapeError(
            "not_closed",
            where,
            f"sides of {figure(a, 'm')}, {figure(b, 'm')} and {figure(c, 'm')} do not close: the "
            f"longest, {figure(longest, 'm')}, must be shorter than the other two together, "
            f"{figure(a + b + c - longest, 'm')}",
        )
    return found


def triangle_slopes(a: float, b: float, c: float, area_m2: float) -> tuple[float, float, float]:
    """Change of a triangle's area with each of its sides, m."""
    return (
        a * (b * b + c * c - a * a) / (8 * area_m2),
        b * (a * a + c * c - b * b) / (8 * area_m2),
        c * (a * a + b * b - c * c) / (8 * area_m2),
    )


def _triangle(data: Mapping[str, object], where: str) -> Shape:
    a, b, c = lengths(data, where, "a", "b", "c")
    found = check_triangle(a, b, c, where)
    slopes = triangle_slopes(a, b, c, found)
    return plain(
        "triangle",
        found,
        a + b + c,
        tuple(zip("abc", (a, b, c), slopes, strict=True)),
        f"triangle with sides {figure(a, 'm')}, {figure(b, 'm')} and {figure(c, 'm')}",
        partial(polygon, (0.0, 0.0), (a, 0.0), geometry.apex(a, c, b)),
        formula="√(s(s − a)(s − b)(s − c)), s half the sum of the sides (Heron)",
    )


def _trapezium(data: Mapping[str, object], where: str) -> Shape:
    a, b, height = lengths(data, where, "a", "b", "height")
    isosceles = reading.flag(data.get("isosceles", False), at(where, "isosceles"))
    leg = math.hypot(height, (a - b) / 2)
    inset = (a - b) / 2 if isosceles else 0.0
    return plain(
        "trapezium",
        (a + b) / 2 * height,
        a + b + 2 * leg if isosceles else None,
        (("a", a, height / 2), ("b", b, height / 2), ("height", height, (a + b) / 2)),
        f"{'isosceles ' if isosceles else ''}trapezium with parallel sides {figure(a, 'm')} and "
        f"{figure(b, 'm')}, {figure(height, 'm')} apart"
        + ("" if isosceles else "; its other sides are not measured, so its edge is unknown"),
        partial(polygon, (0.0, 0.0), (a, 0.0), (inset + b, height), (inset, height)),
        formula="half the sum of the parallel sides × the height between them",
        drawn_true=isosceles,
    )


def _circle_rings(diameter: float) -> tuple[Ring, ...]:
    return (geometry.circle(diameter),)


def _circle(data: Mapping[str, object], where: str) -> Shape:
    (diameter,) = lengths(data, where, "diameter")
    return plain(
        "circle",
        math.pi * diameter * diameter / 4,
        math.pi * diameter,
        (("diameter", diameter, math.pi * diameter / 2),),
        f"circle {figure(diameter, 'm')} across",
        partial(_circle_rings, diameter),
        formula="π × diameter² / 4",
    )


def _sector_rings(radius: float, angle: float) -> tuple[Ring, ...]:
    return (geometry.slice_of_circle(radius, angle),)


def _sector(data: Mapping[str, object], where: str) -> Shape:
    (radius,) = lengths(data, where, "radius")
    angle = units.angle(data["angle"], at(where, "angle"))
    # A full turn has no radii on its edge.
    straight = 0.0 if angle >= 2 * math.pi * (1 - 1e-12) else 2 * radius
    return plain(
        "sector",
        radius * radius * angle / 2,
        radius * angle + straight,
        (("radius", radius, radius * angle),),
        f"sector of radius {figure(radius, 'm')} and {figure(math.degrees(angle), '°', 2)}",
        partial(_sector_rings, radius, angle),
        formula="radius² × angle in radians / 2",
    )


def _ring_rings(outer: float, inner: float) -> tuple[Ring, ...]:
    return geometry.circle(outer), geometry.circle(inner, clockwise=True)


def _ring(data: Mapping[str, object], where: str) -> Shape:
    outer, inner = lengths(data, where, "outer_diameter", "inner_diameter")
    if inner >= outer:
        raise ShapeError(
            "bad_ring",
            at(where, "inner_diameter"),
            f"the inner diameter, {figure(inner, 'm')}, must be smaller than the outer one, "
            f"{figure(outer, 'm')}",
        )
    return plain(
        "ring",
        math.pi * (outer - inner) * (outer + inner) / 4,
        math.pi * (outer + inner),
        (
            ("outer_diameter", outer, math.pi * outer / 2),
            ("inner_diameter", inner, math.pi * inner / 2),
        ),
        f"ring {figure(outer, 'm')} across with a hole of {figure(inner, 'm')}",
        partial(_ring_rings, outer, inner),
        formula="π × (outer diameter² − inner diameter²) / 4",
    )


PLAIN: dict[str, tuple[Reader, tuple[str, ...], tuple[str, ...]]] = {
    "rectangle": (_rectangle, ("length", "width"), ()),
    "triangle": (_triangle, ("a", "b", "c"), ()),
    "trapezium": (_trapezium, ("a", "b", "height"), ("isosceles",)),
    "circle": (_circle, ("diameter",), ()),
    "sector": (_sector, ("radius", "angle"), ()),
    "ring": (_ring, ("outer_diameter", "inner_diameter"), ()),
}
