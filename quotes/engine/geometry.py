"""Plane geometry on points in metres: areas, simple polygons, hulls, what fits inside what.

Signs of turns are exact: a float answer too near nought to trust is worked out again in
fractions. Sources: the shoelace formula (Gauss); the error bound of the float test after
Shewchuk 1997 (memory).
"""

import math
from collections.abc import Sequence
from fractions import Fraction
from itertools import pairwise

Point = tuple[float, float]
Ring = tuple[Point, ...]

_BOUND = 3.3306690738754716e-16
_CIRCLE_POINTS = 72


def turn(a: Point, b: Point, c: Point) -> float:
    """More than nought for a left turn at b, less for a right turn, exactly nought for none."""
    left = (b[0] - a[0]) * (c[1] - a[1])
    right = (b[1] - a[1]) * (c[0] - a[0])
    found = left - right
    if abs(found) > _BOUND * (abs(left) + abs(right)):
        return found
    (ax, ay), (bx, by), (cx, cy) = (tuple(map(Fraction, point)) for point in (a, b, c))
    exact = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    return float((exact > 0) - (exact < 0))


def signed_area(ring: Sequence[Point]) -> float:
    """Shoelace area in m², more than nought counter-clockwise; the ring is not closed again."""
    x0, y0 = ring[0]
    near = [(x - x0, y - y0) for x, y in ring]
    return 0.5 * math.fsum(
        term
        for (x1, y1), (x2, y2) in zip(near, near[1:] + near[:1], strict=True)
        for term in (x1 * y2, -x2 * y1)
    )


def perimeter(ring: Sequence[Point]) -> float:
    """Length of the closed ring, m."""
    return math.fsum(math.dist(a, b) for a, b in sides(ring))


def sides(ring: Sequence[Point]) -> list[tuple[Point, Point]]:
    """The sides of a closed ring, the closing one last."""
    return [*pairwise(ring), (ring[-1], ring[0])]


def _on(a: Point, b: Point, p: Point) -> bool:
    """Whether p, known to be in line with a and b, lies between them."""
    return min(a[0], b[0]) <= p[0] <= max(a[0], b[0]) and min(a[1], b[1]) <= p[1] <= max(a[1], b[1])


def meet(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether the closed segments ab and cd have a point in common."""
    t1, t2, t3, t4 = turn(a, b, c), turn(a, b, d), turn(c, d, a), turn(c, d, b)
    if (t1 > 0) != (t2 > 0) and (t3 > 0) != (t4 > 0) and t1 and t2 and t3 and t4:
        return True
    return (
        (t1 == 0 and _on(a, b, c))
        or (t2 == 0 and _on(a, b, d))
        or (t3 == 0 and _on(c, d, a))
        or (t4 == 0 and _on(c, d, b))
    )


def crossing(ring: Sequence[Point]) -> tuple[int, int] | None:
    """The first two sides (by number, from nought) that cross, touch or fold back, or None.

    Side k runs from corner k to the next. Neighbouring sides share their corner only.
    """
    every = sides(ring)
    count = len(every)
    for k in range(count):
        (a, b), c = every[k], every[(k + 1) % count][1]
        ahead = (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1])
        if ahead < 0 and turn(a, b, c) == 0:
            return k, (k + 1) % count
    by_left = sorted(range(count), key=lambda k: min(every[k][0][0], every[k][1][0]))
    for place, k in enumerate(by_left):
        a, b = every[k]
        right, low, high = max(a[0], b[0]), min(a[1], b[1]), max(a[1], b[1])
        for other in by_left[place + 1 :]:
            c, d = every[other]
            if min(c[0], d[0]) > right:
                break
            if min(c[1], d[1]) > high or max(c[1], d[1]) < low:
                continue
            if (k - other) % count in {1, count - 1}:
                continue
            if meet(a, b, c, d):
                return min(k, other), max(k, other)
    return None


def holds(ring: Sequence[Point], p: Point) -> int:
    """1 when p lies inside the ring, 0 on its edge, −1 outside."""
    inside = False
    for a, b in sides(ring):
        bend = turn(a, b, p)
        if bend == 0 and _on(a, b, p):
            return 0
        if (a[1] > p[1]) != (b[1] > p[1]) and (bend > 0) == (b[1] > a[1]):
            inside = not inside
    return 1 if inside else -1


def lies_within(inner: Sequence[Point], outer: Sequence[Point]) -> bool:
    """Whether one simple polygon lies within another; a common edge is allowed."""
    if any(holds(outer, point) < 0 for point in inner):
        return False
    if any(holds(inner, point) > 0 for point in outer):
        return False
    for a, b in sides(inner):
        if holds(outer, ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)) < 0:
            return False
        for c, d in sides(outer):
            if turn(a, b, c) * turn(a, b, d) < 0 and turn(c, d, a) * turn(c, d, b) < 0:
                return False
    return True


def hull(points: Sequence[Point]) -> Ring:
    """The convex hull, counter-clockwise (monotone chain)."""
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return tuple(ordered)
    chains: list[list[Point]] = []
    for run in (ordered, ordered[::-1]):
        chain: list[Point] = []
        for point in run:
            while len(chain) > 1 and turn(chain[-2], chain[-1], point) <= 0:
                chain.pop()
            chain.append(point)
        chains.append(chain[:-1])
    return tuple(chains[0] + chains[1])


def reach(points: Sequence[Point]) -> tuple[float, float, float]:
    """(widest, narrowest, hull perimeter) in m: whatever lies inside exceeds none of them."""
    ring = hull(points)
    if len(ring) < 3:
        return 0.0, 0.0, 0.0
    widest = max(math.dist(a, b) for k, a in enumerate(ring) for b in ring[k + 1 :])
    narrowest = math.inf
    for a, b in sides(ring):
        dx, dy, length = b[0] - a[0], b[1] - a[1], math.dist(a, b)
        # Counter-clockwise, so every corner lies to the left of every side.
        across = max(dx * (y - a[1]) - dy * (x - a[0]) for x, y in ring) / length
        narrowest = min(narrowest, across)
    return widest, narrowest, perimeter(ring)


def circle(diameter: float, *, clockwise: bool = False) -> Ring:
    """A circle as a ring of points for drawing, touching both axes of its box."""
    step = (-2 if clockwise else 2) * math.pi / _CIRCLE_POINTS
    r = diameter / 2
    return tuple((r * math.cos(k * step), r * math.sin(k * step)) for k in range(_CIRCLE_POINTS))


def slice_of_circle(radius: float, angle: float) -> Ring:
    """A sector from the positive x axis, for drawing; a whole circle where it is one."""
    if angle >= 2 * math.pi - 1e-9:
        return circle(2 * radius)
    steps = max(2, round(angle / (2 * math.pi) * _CIRCLE_POINTS))
    arc = (angle * k / steps for k in range(steps + 1))
    return ((0.0, 0.0), *((radius * math.cos(t), radius * math.sin(t)) for t in arc))


def apex(base: float, from_start: float, from_end: float) -> Point:
    """The corner of a triangle on a base along x, by its distances from the base's two ends.

    Where the three cannot meet the corner is put as near as they allow.
    """
    x = (base * base + from_start * from_start - from_end * from_end) / (2 * base)
    return x, math.sqrt(max(0.0, from_start * from_start - x * x))


def heron(a: float, b: float, c: float) -> float:
    """Area of a triangle by its sides, m², in Kahan's stable order; nought if they do not meet."""
    longest, middle, shortest = sorted((a, b, c), reverse=True)
    product = (
        (longest + (middle + shortest))
        * (shortest - (longest - middle))
        * (shortest + (longest - middle))
        * (longest + (middle - shortest))
    )
    return 0.25 * math.sqrt(product) if product > 0 else 0.0


def moved(ring: Ring, dx: float, dy: float) -> Ring:
    """The ring shifted."""
    return tuple((x + dx, y + dy) for x, y in ring)


def box(points: Sequence[Point]) -> tuple[float, float, float, float]:
    """Least x, least y, greatest x, greatest y."""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)
