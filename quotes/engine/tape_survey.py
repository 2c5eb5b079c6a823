"""Joining triangles measured by tape into one polygon, and how well they close.

Each triangle but the first shares a side with one measured before it. The usual booking gives
the diagonal last in one triangle and first in the next; where that fits, it is taken. Otherwise
the shared side is looked for among all of them. A diagonal that was measured twice seldom agrees
to the millimetre: the difference is the misclosure. Common practice, no source.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from quotes.engine import geometry
from quotes.engine.geometry import Point, Ring

SAME = 1e-9
# Two readings of one diagonal may differ by 1 % or 20 mm and still be one diagonal.
CLOSES_PART = 0.01
CLOSES_M = 0.02

Triangle = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Chain:
    """The joined survey.

    edge: the polygon's edge in m, None where it is not clear which sides are shared; misclosure:
    the greatest difference between two readings of a shared side, m; loose: the number (from 1)
    of the first triangle that fits no other, 0 for none; rings: for drawing; measured_as: for
    each side of each triangle the number of the taped length it is.
    """

    edge: float | None
    misclosure: float
    loose: int
    rings: tuple[Ring, ...]
    measured_as: tuple[int, ...]


@dataclass(slots=True)
class _Joining:
    """The polygon as it grows: boundary sides as (start, end, length, side number)."""

    boundary: list[tuple[Point, Point, float, int]]
    measured_as: list[int]
    clear: bool = True
    misclosure: float = 0.0
    shared: list[float] = field(default_factory=list)


def join_triangles(triangles: Sequence[Triangle]) -> Chain:
    """Join the triangles in the order given; see Chain."""
    joining = _Joining(_laid(triangles[0], (0.0, 0.0), (triangles[0][0], 0.0), 0), [0, 1, 2])
    for k in range(1, len(triangles)):
        joining.measured_as += [3 * k, 3 * k + 1, 3 * k + 2]
        fit = _best_fit(joining, triangles[k], k)
        if fit is None:
            gap = _nearest(joining, triangles[k])
            numbers = joining.measured_as + list(range(3 * k + 3, 3 * len(triangles)))
            return Chain(None, gap, k + 1, _apart(triangles), tuple(numbers))
        _attach(joining, triangles[k], k, *fit)
    total = math.fsum(side for triangle in triangles for side in triangle)
    edge = total - math.fsum(joining.shared) if joining.clear else None
    ring = tuple(start for start, _, _, _ in joining.boundary)
    return Chain(edge, joining.misclosure, 0, (ring,), tuple(joining.measured_as))


def _laid(
    triangle: Triangle, start: Point, end: Point, first: int
) -> list[tuple[Point, Point, float, int]]:
    """A triangle's sides with its first side put from start to end, the third corner left."""
    a, b, c = triangle
    base = math.dist(start, end)
    along, up = geometry.apex(base, c, b)
    ux, uy = (end[0] - start[0]) / base, (end[1] - start[1]) / base
    top = (start[0] + along * ux - up * uy, start[1] + along * uy + up * ux)
    return [(start, end, a, first), (end, top, b, first + 1), (top, start, c, first + 2)]


def _best_fit(joining: _Joining, triangle: Triangle, k: int) -> tuple[int, int] | None:
    """(boundary place, side of the triangle) that the two share; None when nothing closes."""
    fits = []
    for place, (_, _, length, number) in enumerate(joining.boundary):
        for j, side in enumerate(triangle):
            gap = abs(side - length)
            if gap <= max(CLOSES_M, CLOSES_PART * min(side, length)):
                # The usual booking comes first even where it reads a little differently; then
                # equal readings, the last side booked before, the closest, the latest.
                last = number == 3 * k - 1
                usual = last and j == 0
                fits.append((not usual, gap > SAME, not last, gap, -number, j, place))
    if not fits:
        return None
    best = min(fits)
    sizes = {round(triangle[fit[5]], 9) for fit in fits if not fit[1]}
    if best[2] and len(sizes) > 1:
        joining.clear = False  # several different sides would fit, and no booking order says which
    return best[6], best[5]


def _attach(joining: _Joining, triangle: Triangle, k: int, place: int, j: int) -> None:
    start, end, length, number = joining.boundary[place]
    turned = (triangle[j], triangle[(j + 1) % 3], triangle[(j + 2) % 3])
    # Seen from outside the polygon the shared side runs backwards.
    laid = _laid(turned, end, start, 0)
    ids = [3 * k + (j + step) % 3 for step in range(3)]
    outer = [(a, b, size, ids[step]) for step, (a, b, size, _) in enumerate(laid)][1:]
    joining.boundary[place : place + 1] = outer
    gap = abs(length - triangle[j])
    if gap <= SAME:
        joining.measured_as[3 * k + j] = number
    joining.misclosure = max(joining.misclosure, gap if gap > SAME else 0.0)
    joining.shared += [length, triangle[j]]


def _nearest(joining: _Joining, triangle: Triangle) -> float:
    """The least difference between a side of the triangle and a free side of the polygon, m."""
    return min(abs(side - length) for _, _, length, _ in joining.boundary for side in triangle)


def _apart(triangles: Sequence[Triangle]) -> tuple[Ring, ...]:
    """The triangles side by side, for drawing a survey that does not close."""
    rings = []
    left = 0.0
    for triangle in triangles:
        laid = _laid(triangle, (0.0, 0.0), (triangle[0], 0.0), 0)
        ring = tuple(start for start, _, _, _ in laid)
        low, _, high, _ = geometry.box(ring)
        rings.append(geometry.moved(ring, left - low, 0.0))
        left += high - low + 0.5
    return tuple(rings)
