"""Manual handling: a filter that says which lifts need a closer look.

There is no legal limit. The figures are a filter for ordinary lifting by hand, masses in kg; a
lift that fails it is not forbidden, it wants an assessment.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from quotes.engine.errors import ModelError
from quotes.engine.guards import between, not_negative, positive
from quotes.engine.workings import Working, figure

Zone = Literal["shoulder", "elbow", "knuckle", "lower leg", "floor"]
Reach = Literal["close", "far"]
Lifter = Literal["men", "women"]

# Filter values (memory; the filters' rules were read on the pages of the safety regulator).
_FILTER: dict[Lifter, dict[Zone, tuple[float, float]]] = {
    "men": {
        "shoulder": (10, 5),
        "elbow": (20, 10),
        "knuckle": (25, 15),
        "lower leg": (20, 10),
        "floor": (10, 5),
    },
    "women": {
        "shoulder": (7, 3),
        "elbow": (13, 7),
        "knuckle": (16, 10),
        "lower leg": (13, 7),
        "floor": (7, 3),
    },
}
_FREE_PER_HOUR = 30.0
LONGEST_CARRY = 10.0  # m


@dataclass(frozen=True, slots=True)
class LiftCheck:
    """A lift against the filter: the filter's mass (kg), whether it passes, and remarks."""

    filter_mass: float
    passes: bool
    remarks: tuple[str, ...]
    workings: tuple[Working, ...]


def filter_mass(
    zones: Sequence[tuple[Zone, Reach]],
    lifter: Lifter,
    *,
    lifts_per_hour: float = 0.0,
    twist_degrees: float = 0.0,
) -> float:
    """The filter's mass (kg) for a lift through some zones.

    The smallest value of the zones crossed counts; it is cut for frequency (30 % at 1 to 2 a
    minute, 50 % at 5 to 8, 80 % over 12) and for twisting (10 % beyond 45 degrees, 20 % beyond
    90). Between the bands the stricter cut is taken. Errors: ModelError for no zones, unknown
    ones, or negative values. Source: the regulator's lifting filter; cuts as taught.
    """
    table = _FILTER.get(lifter)
    if table is None or not zones:
        raise ModelError("empty", "zones", "no zones or lifter given; accepted: one zone or more")
    values = []
    for zone, reach in zones:
        if zone not in table or reach not in {"close", "far"}:
            raise ModelError(
                "unknown_zone",
                "zones",
                f"{zone!r}, {reach!r} is unknown; accepted: {list(table)}",
            )
        values.append(table[zone][0 if reach == "close" else 1])
    twist = between(twist_degrees, "twist", 0.0, 180.0, "degrees")
    turned = 0.8 if twist > 90 else 0.9 if twist > 45 else 1.0
    return min(values) * _for_frequency(lifts_per_hour) * turned


def _for_frequency(lifts_per_hour: float) -> float:
    hourly = not_negative(lifts_per_hour, "lifts an hour")
    if hourly <= _FREE_PER_HOUR:
        return 1.0
    minute = hourly / 60
    if minute <= 2:
        return 0.7
    return 0.5 if minute <= 8 else 0.2


def check_lift(
    mass: float,
    zones: Sequence[tuple[Zone, Reach]],
    lifter: Lifter = "men",
    *,
    lifts_per_hour: float = 0.0,
    twist_degrees: float = 0.0,
    carry: float = 0.0,
) -> LiftCheck:
    """A bag of a mass (kg) against the filter, carried so far (m); equality passes.

    Errors: ModelError as for filter_mass. Passing is no proof of safety, failing asks for an
    assessment.
    """
    allowed = filter_mass(zones, lifter, lifts_per_hour=lifts_per_hour, twist_degrees=twist_degrees)
    heavy = positive(mass, "mass", "kg") > allowed * (1 + 1e-9)
    far = not_negative(carry, "carry", "m") > LONGEST_CARRY * (1 + 1e-9)
    remarks = []
    if heavy:
        remarks.append(f"{figure(mass - allowed, 'kg', 2)} over the filter: assess, or lift by two")
    if far:
        remarks.append("carried more than 10 m: assess, or use a barrow")
    said = Working(
        "lifting filter",
        "smallest value of the zones crossed, cut for frequency and twisting",
        (
            ("zones", ", ".join(f"{zone} {reach}" for zone, reach in zones)),
            ("lifts an hour", f"{lifts_per_hour:g}"),
            ("twist", f"{twist_degrees:g}°"),
        ),
        figure(allowed, "kg", 2),
        "manual handling filter, values from memory; no legal limit",
    )
    return LiftCheck(allowed, not (heavy or far), tuple(remarks), (said,))
