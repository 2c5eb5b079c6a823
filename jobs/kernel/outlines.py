"""Plane geometry that a plan needs to place words and dimensions; metres, y upward."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

Point = tuple[float, float]
Ring = Sequence[Point]


def sides_of(ring: Ring) -> list[tuple[Point, Point]]:
    """Return the sides of a closed outline, corner to corner."""
    return list(zip(ring, [*ring[1:], ring[0]], strict=True))


def box(points: Iterable[Point]) -> tuple[float, float, float, float]:
    """Return least x, least y, greatest x, greatest y."""
    every = list(points)
    across, up = [x for x, _ in every], [y for _, y in every]
    return min(across), min(up), max(across), max(up)


def tidy(ring: Ring) -> list[Point]:
    """Return the corners without a repeated last one."""
    corners = [(float(x), float(y)) for x, y in ring]
    return corners[:-1] if len(corners) > 3 and corners[0] == corners[-1] else corners


def area_of(ring: Ring) -> float:
    """Return the signed area by the surveyor's formula: positive when corners run anticlockwise."""
    return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in sides_of(ring)) / 2


def is_rectangle(sides: Sequence[tuple[Point, Point]]) -> bool:
    """Return whether four sides lie square to the sheet."""
    return len(sides) == 4 and all(
        abs(x1 - x2) < 1e-6 or abs(y1 - y2) < 1e-6 for (x1, y1), (x2, y2) in sides
    )


def middle(ring: Ring) -> Point:
    """Return a place inside the outline for its label.

    It is the centre of gravity, or, where that lies outside (an L), the middle of the longest level
    line through the outline.
    """
    centre = centroid(ring)
    if within(centre, ring):
        return centre
    _, bottom, _, top = box(ring)
    heights = [bottom + (top - bottom) * step / 20 for step in range(1, 20)]
    chords = [(b - a, (a + b) / 2, y) for y in heights for a, b in level_chords(ring, y)]
    if not chords:
        return centre
    _, x, y = max(chords)
    return x, y


def centroid(ring: Ring) -> Point:
    """Return the centre of gravity; the middle of the box where there is no area."""
    size = area_of(ring)
    left, bottom, right, top = box(ring)
    if abs(size) < 1e-9:
        return (left + right) / 2, (bottom + top) / 2
    x = y = 0.0
    for (x1, y1), (x2, y2) in sides_of(ring):
        cross = x1 * y2 - x2 * y1
        x += (x1 + x2) * cross
        y += (y1 + y2) * cross
    return x / (6 * size), y / (6 * size)


def level_chords(ring: Ring, y: float) -> list[tuple[float, float]]:
    """Return the stretches of the level line at `y` that lie inside the outline."""
    cuts = sorted(
        x1 + (y - y1) / (y2 - y1) * (x2 - x1)
        for (x1, y1), (x2, y2) in sides_of(ring)
        if (y1 > y) != (y2 > y)
    )
    return list(zip(cuts[::2], cuts[1::2], strict=False))


def within(point: Point, ring: Ring) -> bool:
    """Return whether the point lies inside the outline."""
    return any(a < point[0] < b for a, b in level_chords(ring, point[1]))


def clear_stretch(
    ring: Ring, lines: Sequence[tuple[Point, Point]], high: float
) -> tuple[float, Point]:
    """Return length and middle of the widest level stretch inside `ring` clear of `lines`.

    `high` is the height in metres that must be clear. Heights near the middle come first and are
    only given up for a quarter more room.
    """
    _, bottom, _, top = box(ring)
    best = (0.0, middle(ring))
    for share in (0.5, 0.45, 0.55, 0.4, 0.6, 0.35, 0.65, 0.3, 0.7, 0.2, 0.8):
        y = bottom + (top - bottom) * share
        for a, b in level_chords(ring, y):
            stops = sorted({a, b, *(x for x in crossings(lines, y, high) if a < x < b)})
            for start, end in pairwise(stops):
                if end - start > best[0] * 1.25 + 1e-9:
                    best = (end - start, ((start + end) / 2, y))
    return best


def crossings(lines: Sequence[tuple[Point, Point]], y: float, high: float) -> list[float]:
    """Return where lines come within half of `high` of the level line at `y`."""
    found = []
    for (x1, y1), (x2, y2) in lines:
        if min(y1, y2) <= y + high / 2 and max(y1, y2) >= y - high / 2:
            level = min(max(y, min(y1, y2)), max(y1, y2))
            found.append(x1 if y1 == y2 else x1 + (level - y1) / (y2 - y1) * (x2 - x1))
    return found
