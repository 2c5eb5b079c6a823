"""Areas: shapes added and deducted, the edge to be held, the plan to scale, what the tape leaves.

`parse_shape` reads a shape, `measure_area` puts several together. Sources: plane geometry.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from quotes.engine import dimensions, geometry, reading, units
from quotes.engine.cautions import Caution, caution, register
from quotes.engine.errors import ShapeError
from quotes.engine.geometry import Ring
from quotes.engine.reading import at
from quotes.engine.shapes import ALWAYS, LEAST_AREA, PLAIN, Shape
from quotes.engine.shapes_measured import MEASURED
from quotes.engine.units import Q_, Quantity
from quotes.engine.workings import Working, figure

KINDS = {**PLAIN, **MEASURED}
MAX_SHAPES = 200
_FITS = 1.001  # drawn circles are polygons: a thousandth covers it

register(
    "misclosure",
    level="sign",
    sentence="The tape survey of {area} does not close: a side measured twice differs by "
    "{gap}. Measure the diagonals again before ordering.",
)


@dataclass(frozen=True, slots=True)
class PlanPiece:
    """One shape on the plan: rings in m, whether it is deducted, whether its place is measured."""

    rings: tuple[Ring, ...]
    deduct: bool
    placed: bool
    sentence: str


@dataclass(frozen=True)
class AreaMeasure:
    """Shapes put together. edge_m and edging_m are None where they are not known.

    edging_m is the edge less what is already restrained; uncertainty_m2 is one standard
    deviation that the tape leaves, for the tape given to measure_area.
    """

    area_m2: float
    edge_m: float | None
    edging_m: float | None
    uncertainty_m2: float
    sensitivity2: float
    shapes: tuple[Shape, ...]
    workings: tuple[Working, ...]

    @property
    def area(self) -> Quantity:
        """The area as a quantity."""
        return Q_(self.area_m2, "m**2")

    @property
    def outlines(self) -> tuple[PlanPiece, ...]:
        """The plan: measured places as they are, the rest set beside one another."""
        return _plan(self.shapes)

    def cautions(self, name: str) -> tuple[Caution, ...]:
        """What must be said about these measurements."""
        return tuple(
            caution("misclosure", area=name, gap=figure(1000 * shape.misclosure_m, "mm", 1))
            for shape in self.shapes
            if shape.misclosure_m
        )


def parse_shape(data: object, where: str) -> Shape:
    """Read one shape of the take-off document.

    Lengths are texts with a unit, outline corners plain numbers. Optional everywhere: deduct,
    shared (length in common with earlier shapes), restrained (length already held by a wall or
    kerb). Raises ShapeError, UnitError or DocumentError with the place.
    """
    if not isinstance(data, Mapping) or "kind" not in data:
        raise ShapeError(
            "missing_key" if isinstance(data, Mapping) else "bad_type",
            at(where, "kind"),
            f"a shape is an object whose 'kind' is one of {', '.join(KINDS)}",
        )
    kind = reading.choice(data["kind"], at(where, "kind"), KINDS)
    reader, required, optional = KINDS[kind]
    reading.mapping(data, where, ("kind", *required), (*optional, *ALWAYS))
    shape = reader(data, where)
    if not LEAST_AREA <= shape.area_m2 <= dimensions.AREA.most:
        raise ShapeError(
            "out_of_range",
            where,
            f"an area of {shape.area_m2:g} m² is out of all proportion; accepted is "
            f"{LEAST_AREA:g} to {dimensions.AREA.most:g} m²",
        )
    extra = set(data) & {"deduct", "shared", "restrained"}
    return _with_edges(shape, data, where) if extra else shape


def _with_edges(shape: Shape, data: Mapping[str, object], where: str) -> Shape:
    deduct = reading.flag(data.get("deduct", False), at(where, "deduct"))
    found: dict[str, float | None] = {"shared": None, "restrained": None}
    for key in found:
        if key not in data:
            continue
        spot = at(where, key)
        if deduct:
            raise ShapeError(
                "not_for_deductions", spot, f"'{key}' is for added shapes; leave it out here"
            )
        length = units.length(data[key], spot, zero=True)
        if shape.edge_m is not None and length > shape.edge_m * (1 + 1e-9):
            raise ShapeError(
                f"{key}_too_long",
                spot,
                f"{figure(length, 'm')} is more than the whole edge of this {shape.kind}, "
                f"{figure(shape.edge_m, 'm')}",
            )
        found[key] = length
    return replace(
        shape,
        deduct=deduct,
        shared_m=found["shared"],
        restrained_m=found["restrained"] or 0.0,
    )


def measure_area(
    shapes: Sequence[Shape], where: str = "shapes", *, tape_m: float = 0.0
) -> AreaMeasure:
    """Add and deduct shapes; where names their place for errors ('areas[0].shapes').

    Raises ShapeError when nothing is left, when a deduction cannot lie inside, or when a shared
    length is longer than there is edge.
    """
    added = [shape for shape in shapes if not shape.deduct]
    area = math.fsum(-s.area_m2 if s.deduct else s.area_m2 for s in shapes)
    if not added or area < LEAST_AREA:
        raise ShapeError(
            "nothing_left",
            where,
            "the deductions leave no area; the shapes added must come to more than those deducted",
        )
    if len(added) < len(shapes):
        _check_inside(shapes, added, where)
    edge = _edge(shapes, where)
    sensitivity2 = math.fsum(s.sensitivity2 for s in shapes)
    edging = None if edge is None else max(0.0, edge - math.fsum(s.restrained_m for s in added))
    workings = tuple(w for s in shapes for w in s.workings)
    if len(shapes) > 1:
        workings += (_sum_of(shapes, area, edge),)
    return AreaMeasure(
        area,
        edge,
        edging,
        tape_m * math.sqrt(sensitivity2),
        sensitivity2,
        tuple(shapes),
        workings,
    )


def _sum_of(shapes: Sequence[Shape], area: float, edge: float | None) -> Working:
    said = "edge unknown" if edge is None else f"edge {figure(edge, 'm')}"
    return Working(
        "area of the shapes together",
        "shapes added less shapes deducted; edge: the added outlines less twice what they share",
        tuple(
            (f"{k + 1} {s.kind}", figure(-s.area_m2 if s.deduct else s.area_m2, "m²", 4))
            for k, s in enumerate(shapes)
        ),
        f"{figure(area, 'm²', 4)}; {said}",
        "plane geometry",
    )


def _edge(shapes: Sequence[Shape], where: str) -> float | None:
    """The outlines' sum less twice what later shapes share with earlier ones; None if unknown."""
    total: float | None = None
    for k, shape in enumerate(shapes):
        if shape.deduct:
            continue
        shared = shape.shared_m
        if total is None and k == _first_added(shapes):
            if shared:
                raise ShapeError(
                    "shared_too_long",
                    f"{where}[{k}].shared",
                    "the first shape has no earlier one to share with; say it of the later one",
                )
            total = shape.edge_m
            if total is None:
                return None
            continue
        if total is None or shared is None or shape.edge_m is None:
            return None
        if shared > total * (1 + 1e-9):
            raise ShapeError(
                "shared_too_long",
                f"{where}[{k}].shared",
                f"{figure(shared, 'm')} is more than the edge of the earlier shapes, "
                f"{figure(total, 'm')}",
            )
        total = max(0.0, total + shape.edge_m - 2 * shared)
    return total


def _first_added(shapes: Sequence[Shape]) -> int:
    return next(k for k, shape in enumerate(shapes) if not shape.deduct)


def _check_inside(shapes: Sequence[Shape], added: Sequence[Shape], where: str) -> None:
    """Refuse a deduction that cannot lie inside what is added.

    Where both are placed this is known exactly; where one added shape has a known form, a
    deduction that is wider, longer in reach or longer round its hull cannot lie in it.
    """
    for k, shape in enumerate(shapes):
        if not shape.deduct:
            continue
        spot = f"{where}[{k}]"
        if shape.placed and all(other.placed for other in added):
            if not _lies_in_any(shape, added):
                raise ShapeError(
                    "deduction_outside",
                    spot,
                    "this deduction does not lie inside the outline it is taken from; check its "
                    "corners",
                )
        elif len(added) == 1 and added[0].drawn_true and shape.drawn_true:
            inner, outer = _reach(shape), _reach(added[0])
            if any(a > b * _FITS for a, b in zip(inner, outer, strict=True)):
                raise ShapeError(
                    "deduction_outside",
                    spot,
                    f"this deduction, a {shape.describe()}, is too large to lie inside the "
                    f"{added[0].describe()}",
                )


def _reach(shape: Shape) -> tuple[float, float, float]:
    """Widest, narrowest and hull perimeter of a shape, m."""
    if shape.kind in {"circle", "ring"}:
        diameter = shape.tape_lengths[0][1]
        return diameter, diameter, math.pi * diameter
    return geometry.reach(shape.outline[0])


def _lies_in_any(shape: Shape, added: Sequence[Shape]) -> bool:
    inner = shape.outline[0]
    if any(geometry.lies_within(inner, other.outline[0]) for other in added):
        return True
    # Several added outlines may hold it together: then each corner must lie in one of them.
    return len(added) > 1 and all(
        any(geometry.holds(other.outline[0], point) >= 0 for other in added) for point in inner
    )


def _plan(shapes: Sequence[Shape]) -> tuple[PlanPiece, ...]:
    pieces: list[PlanPiece] = []
    right = 0.0
    middle = (0.0, 0.0)
    for shape in shapes:
        rings = shape.outline
        low_x, low_y, high_x, high_y = geometry.box([p for ring in rings for p in ring])
        dx = dy = 0.0
        if not shape.placed and shape.deduct:
            dx, dy = middle[0] - (low_x + high_x) / 2, middle[1] - (low_y + high_y) / 2
        elif not shape.placed:
            dx, dy = right - low_x, -low_y
        if not shape.deduct:
            right = max(right, high_x + dx + 0.5)
            middle = ((low_x + high_x) / 2 + dx, (low_y + high_y) / 2 + dy)
        shifted = tuple(geometry.moved(ring, dx, dy) for ring in rings)
        pieces.append(PlanPiece(shifted, shape.deduct, shape.placed, shape.describe()))
    return tuple(pieces)
