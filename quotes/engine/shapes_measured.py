"""Shapes that are measured point by point: by corners, by offsets, by sides and diagonals."""

import math
from collections.abc import Mapping, Sequence
from functools import partial

from quotes.engine import dimensions, geometry, offsets, reading, units
from quotes.engine.errors import ShapeError
from quotes.engine.geometry import Point, Ring
from quotes.engine.reading import at
from quotes.engine.shapes import LEAST_AREA, Reader, Shape, check_triangle, polygon, triangle_slopes
from quotes.engine.tape_survey import Chain, join_triangles
from quotes.engine.workings import Working, figure

MAX_POINTS = 500
MAX_TRIANGLES = 200


def _points(value: object, where: str, ratio: tuple[float, float]) -> list[Point]:
    entries = reading.sequence(value, where, least=3, most=MAX_POINTS, of="corners [x, y]")
    points: list[Point] = []
    for k, entry in enumerate(entries):
        spot = f"{where}[{k}]"
        pair = reading.sequence(entry, spot, least=2, most=2, of="two numbers, x and y")
        x, y = (
            reading.number(v, f"{spot}[{axis}]", least=-1e8, most=1e8) * ratio[0] / ratio[1]
            for axis, v in enumerate(pair)
        )
        points.append((x, y))
    if points[0] == points[-1]:  # a ring that is closed by repeating its first corner
        points.pop()
    return points


def _unit(data: Mapping[str, object], where: str) -> tuple[float, float]:
    known = dimensions.LENGTH.units
    return known[reading.choice(data.get("unit", "m"), at(where, "unit"), known)]


def _check_simple(points: list[Point], where: str) -> float:
    """The signed area of a polygon that neither crosses nor touches itself."""
    for k, (a, b) in enumerate(geometry.sides(points)):
        if a == b:
            raise ShapeError(
                "repeated_corner",
                f"{where}[{(k + 1) % len(points)}]",
                "this corner repeats the one before it; give each corner once",
            )
    most = dimensions.LENGTH.most
    if any(abs(v) > most for point in points for v in point):
        raise ShapeError(
            "out_of_range", where, f"a corner lies more than {most:g} m out; check the unit"
        )
    pair = geometry.crossing(points)
    if pair is not None:
        first, second = (f"corner {k + 1} to corner {(k + 1) % len(points) + 1}" for k in pair)
        raise ShapeError(
            "self_crossing",
            where,
            f"the outline crosses or touches itself: the side from {first} meets the side from "
            f"{second}; give the corners in order round the edge",
        )
    found = geometry.signed_area(points)
    if abs(found) < LEAST_AREA:
        raise ShapeError("no_area", where, "these corners enclose no area; check their order")
    return found


def _outline(data: Mapping[str, object], where: str) -> Shape:
    spot = at(where, "points")
    points = _points(data["points"], spot, _unit(data, where))
    if len(points) < 3:
        raise ShapeError("bad_count", spot, "an outline needs three corners or more")
    signed = _check_simple(points, spot)
    ring: Ring = tuple(points if signed > 0 else reversed(points))
    ahead, behind = ring[1:] + ring[:1], ring[-1:] + ring[:-1]
    slopes = ((q[0] - p[0], q[1] - p[1]) for q, p in zip(ahead, behind, strict=True))
    edge = geometry.perimeter(ring)
    working = Working(
        "area of the outline",
        "half the sum over the sides of x1 × y2 − x2 × y1 (shoelace)",
        (("corners", str(len(ring))), ("edge", figure(edge, "m"))),
        figure(abs(signed), "m²", 4),
        "plane geometry",
    )
    return Shape(
        "outline",
        abs(signed),
        edge,
        tuple((f"side {k + 1}", math.dist(a, b)) for k, (a, b) in enumerate(geometry.sides(ring))),
        0.25 * math.fsum(dx * dx + dy * dy for dx, dy in slopes),
        f"outline with {len(ring)} corners",
        partial(polygon, *ring),
        placed=True,
        workings=(working,),
    )


def _list_of_lengths(value: object, where: str, *, least: int) -> list[float]:
    entries = reading.sequence(value, where, least=least, most=MAX_POINTS, of="lengths")
    return [units.length(v, f"{where}[{k}]", zero=True) for k, v in enumerate(entries)]


def _stations(data: Mapping[str, object], where: str, count: int) -> list[float]:
    if ("spacing" in data) == ("distances" in data):
        raise ShapeError(
            "bad_base",
            where,
            "give either 'spacing' or 'distances' along the base line, and not both",
        )
    if "spacing" in data:
        spacing = units.length(data["spacing"], at(where, "spacing"))
        return [spacing * k for k in range(count)]
    spot = at(where, "distances")
    stations = _list_of_lengths(data["distances"], spot, least=2)
    if len(stations) != count:
        raise ShapeError(
            "bad_count",
            spot,
            f"there are {len(stations)} distances for {count} offsets; give one for each",
        )
    for k in range(1, count):
        if stations[k] <= stations[k - 1]:
            raise ShapeError("bad_order", f"{spot}[{k}]", "distances along the base line must rise")
    return stations


def _offset_ring(stations: Sequence[float], heights: Sequence[float]) -> tuple[Ring, ...]:
    top = [(x, h) for x, h in zip(stations, heights, strict=True) if h > 0]
    return (((stations[0], 0.0), (stations[-1], 0.0), *reversed(top)),)


def _offsets(data: Mapping[str, object], where: str) -> Shape:
    heights = _list_of_lengths(data["offsets"], at(where, "offsets"), least=2)
    stations = _stations(data, where, len(heights))
    rule = reading.choice(data["rule"], at(where, "rule"), ("simpson", "trapezoidal"))
    found = (offsets.simpson if rule == "simpson" else offsets.trapezoidal)(stations)
    area = math.fsum(w * h for w, h in zip(found.weights, heights, strict=True))
    if area < LEAST_AREA:
        raise ShapeError("no_area", at(where, "offsets"), "these offsets enclose no area")
    base = stations[-1] - stations[0]
    named = tuple((f"offset {k + 1}", h) for k, h in enumerate(heights))
    working = Working(
        "area by offsets",
        f"{rule} rule: {'; '.join(found.notes)}",
        (("base line", figure(base, "m")), *((n, figure(h, "m")) for n, h in named)),
        figure(area, "m²", 4) + "; the length of the irregular edge is not measured",
        "textbooks of land surveying (memory)",
    )
    return Shape(
        "offsets",
        area,
        None,
        (("base line", base), *named),
        # The base is one taped length: all its strips stretch together.
        math.fsum(w * w for w in found.weights) + (area / base) ** 2,
        f"irregular edge by {len(heights)} offsets from a base line of {figure(base, 'm')} "
        f"({rule} rule); the length of its edge is not measured",
        partial(_offset_ring, tuple(stations), tuple(heights)),
        drawn_true=False,
        workings=(working,),
    )


def _closing(chain: Chain) -> tuple[str, str]:
    """What is said about the closure: for the sentence and for the workings."""
    if chain.loose:
        gap = figure(1000 * chain.misclosure, "mm", 1)
        said = (
            f"; the triangles do not close: no side of triangle {chain.loose} fits one measured "
            f"before it, the nearest by {gap}"
        )
        return said, f"not closed, nearest by {gap}"
    if chain.misclosure > 0:
        gap = figure(1000 * chain.misclosure, "mm", 1)
        return f"; closes to {gap}", f"closes to {gap}"
    if chain.edge is None:
        return "; which sides they share is not clear, so its edge is unknown", "edge unknown"
    return "", "closes exactly"


def _sides_and_diagonals(data: Mapping[str, object], where: str) -> Shape:
    # long because: one walk round the triangles of a tape survey
    spot = at(where, "triangles")
    entries = reading.sequence(
        data["triangles"], spot, least=1, most=MAX_TRIANGLES, of="triangles [a, b, c]"
    )
    triangles: list[tuple[float, float, float]] = []
    for k, entry in enumerate(entries):
        place = f"{spot}[{k}]"
        three = reading.sequence(entry, place, least=3, most=3, of="three lengths")
        a, b, c = (units.length(v, f"{place}[{j}]") for j, v in enumerate(three))
        check_triangle(a, b, c, place)
        triangles.append((a, b, c))
    areas = [geometry.heron(*t) for t in triangles]
    chain = join_triangles(triangles)
    sensitivity2 = math.fsum(
        sum(slopes) ** 2 for slopes in _slopes_by_length(triangles, areas, chain)
    )
    said, closed = _closing(chain)
    area = math.fsum(areas)
    working = Working(
        "area by sides and diagonals",
        "the sum of the triangles by their sides (Heron)",
        tuple(
            (f"triangle {k + 1}", f"{' / '.join(figure(s, 'm') for s in t)}: {figure(m, 'm²', 4)}")
            for k, (t, m) in enumerate(zip(triangles, areas, strict=True))
        ),
        f"{figure(area, 'm²', 4)}; {closed}",
        "plane geometry",
    )
    return Shape(
        "sides_and_diagonals",
        area,
        chain.edge,
        tuple(
            (f"triangle {k + 1} {n}", s)
            for k, t in enumerate(triangles)
            for n, s in zip("abc", t, strict=True)
        ),
        sensitivity2,
        f"polygon of {len(triangles)} triangles by sides and diagonals{said}",
        partial(_as_given, chain.rings),
        drawn_true=not chain.loose,
        misclosure_m=chain.misclosure,
        workings=(working,),
    )


def _as_given(rings: tuple[Ring, ...]) -> tuple[Ring, ...]:
    return rings


def _slopes_by_length(
    triangles: Sequence[tuple[float, float, float]], areas: Sequence[float], chain: Chain
) -> list[list[float]]:
    """Change of the area with each taped length; a diagonal measured once serves two triangles."""
    groups: dict[int, list[float]] = {}
    for k, (sides, area) in enumerate(zip(triangles, areas, strict=True)):
        for j, slope in enumerate(triangle_slopes(*sides, area)):
            groups.setdefault(chain.measured_as[3 * k + j], []).append(slope)
    return list(groups.values())


MEASURED: dict[str, tuple[Reader, tuple[str, ...], tuple[str, ...]]] = {
    "outline": (_outline, ("points",), ("unit",)),
    "offsets": (_offsets, ("offsets", "rule"), ("spacing", "distances")),
    "sides_and_diagonals": (_sides_and_diagonals, ("triangles",), ()),
}
