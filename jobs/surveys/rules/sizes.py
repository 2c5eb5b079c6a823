"""Sizes of areas from their shapes, by the engine; what is asked again; how a check compares."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from quotes.engine.areas import AreaMeasure, measure_area, parse_shape
from quotes.engine.errors import EngineError

# One taped length is right to a centimetre, one standard deviation (common practice, no source).
TAPE_M = 0.01
# Larger than a small firm lays on one job (common practice, no source): asked again, not refused.
LARGE_M2 = 2000.0


@dataclass(frozen=True)
class Size:
    """How large an area is, in m² and m; `problem` says why there is no size."""

    area_m2: float | None = None
    edge_m: float | None = None
    edging_m: float | None = None
    uncertainty_m2: float | None = None
    problem: str = ""
    measure: AreaMeasure | None = None


def shape_mapping(
    kind: str, measurements: Mapping[str, Any], *, deduct: bool, shared: str
) -> dict[str, Any]:
    """Return one shape as the engine's document has it."""
    found: dict[str, Any] = {"kind": kind, **measurements}
    if deduct:
        found["deduct"] = True
    elif shared.strip():
        found["shared"] = shared.strip()
    return found


def size_of(shapes: Sequence[Mapping[str, Any]]) -> Size:
    """Return the size that shapes have together; the problem where they have none."""
    if not shapes:
        return Size(problem="Not measured yet.")
    try:
        parsed = [parse_shape(shape, f"shapes[{k}]") for k, shape in enumerate(shapes)]
        measure = measure_area(parsed, tape_m=TAPE_M)
    except EngineError as error:
        return Size(problem=sentence(error.message))
    return Size(
        measure.area_m2, measure.edge_m, measure.edging_m, measure.uncertainty_m2, "", measure
    )


def sentence(text: str) -> str:
    """Return the engine's message as a sentence: a capital, a full stop."""
    bare = text.strip().rstrip(".")
    return f"{bare[:1].upper()}{bare[1:]}." if bare else ""


def is_large(before: Sequence[Mapping[str, Any]], after: Sequence[Mapping[str, Any]]) -> bool:
    """Return whether a change makes an area larger than a small firm lays: then ask again."""
    was, now = size_of(before).area_m2 or 0.0, size_of(after).area_m2 or 0.0
    return now > LARGE_M2 and now > was


@dataclass(frozen=True)
class Difference:
    """One area in the survey and in the check-measure, in m²; None where it is in one only."""

    name: str
    survey_m2: float | None
    check_m2: float | None

    @property
    def m2(self) -> float | None:
        """How much more the check found."""
        if self.survey_m2 is None or self.check_m2 is None:
            return None
        return self.check_m2 - self.survey_m2

    @property
    def percent(self) -> float | None:
        """The difference as a percentage of the survey."""
        return None if self.m2 is None or not self.survey_m2 else 100 * self.m2 / self.survey_m2


def compare(
    survey: Mapping[str, float | None], check: Mapping[str, float | None]
) -> tuple[list[Difference], Difference]:
    """Return the differences area by area, matched by name, and that of the totals."""
    names = list(dict.fromkeys([*survey, *check]))
    rows = [Difference(name, survey.get(name), check.get(name)) for name in names]
    total = Difference(
        "in all",
        sum(value or 0.0 for value in survey.values()),
        sum(value or 0.0 for value in check.values()),
    )
    return rows, total
