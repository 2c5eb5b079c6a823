"""Hand-arm vibration: daily exposure A(8), points, and the time until a value is reached.

Vibration in m/s2, times in s. The law's two values are for the working day of one person; the
hand that gets more counts.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from quotes.engine.errors import ModelError
from quotes.engine.guards import between, not_negative, positive
from quotes.engine.workings import Working, figure

ACTION_VALUE = 2.5  # m/s2 A(8)
LIMIT_VALUE = 5.0  # m/s2 A(8)
DAY = 8 * 3600.0
SOURCE = "Control of Vibration at Work Regulations 2005"
NEAR = 1e-9

# Typical figures of the kind of tool, from memory; follow the maker's figure for the machine.
TYPICAL: Mapping[str, float] = {
    "breaker": 12.0,
    "disc cutter": 6.0,
    "plate compactor": 10.0,
    "paddle mixer": 3.0,
}
TYPICAL_NOTE = "typical, follow the maker's figure"


@dataclass(frozen=True, slots=True)
class Use:
    """One tool in one day: name, vibration (m/s2, vector sum of the axes), trigger time (s)."""

    tool: str
    vibration: float
    seconds: float


@dataclass(frozen=True, slots=True)
class Exposure:
    """One person's day: A(8) in m/s2, points, and whether the action and limit value are met.

    over_action: A(8) has reached 2.5; over_limit: A(8) is above 5.0.
    """

    a8: float
    points: float
    over_action: bool
    over_limit: bool
    workings: tuple[Working, ...]


def vector_sum(axes: Sequence[float]) -> float:
    """Vibration total (m/s2) of three axes: the root of the sum of squares.

    Errors: ModelError for anything but three values that are not negative.
    """
    if len(axes) != 3:
        raise ModelError("wrong_number", "axes", f"{len(axes)} axes are given; accepted: three")
    return math.hypot(*(not_negative(value, "axis", "m/s2") for value in axes))


def daily_exposure(uses: Sequence[Use]) -> Exposure:
    """One person's A(8) and points from the day's uses.

    A(8) = root of the sum of a2 T / 8 h; points = 16 A(8)2. No uses give nought. Errors:
    ModelError for vibration above 100 m/s2, negative values, or more than 24 h in all.
    Source: schedule 1 of the Control of Vibration at Work Regulations 2005.
    """
    total = math.fsum(not_negative(use.seconds, use.tool, "s") for use in uses)
    between(total, "time of all uses", 0.0, 86_400.0, "s")
    energy = math.fsum(
        between(use.vibration, use.tool, 0.0, 100.0, "m/s2") ** 2 * use.seconds for use in uses
    )
    a8 = math.sqrt(energy / DAY)
    said = Working(
        "vibration A(8)",
        "root of the sum of vibration² x time / 8 h",
        tuple((u.tool, f"{u.vibration:g} m/s² for {u.seconds / 60:g} min") for u in uses),
        f"{a8:.2f} m/s², {16 * a8**2:.0f} points",
        SOURCE,
    )
    return Exposure(
        a8,
        16 * a8**2,
        a8 >= ACTION_VALUE * (1 - NEAR),
        a8 > LIMIT_VALUE * (1 + NEAR),
        (said,),
    )


def points_per_hour(vibration: float) -> float:
    """Exposure points that an hour at a vibration (m/s2) gives: 2 a2; 100 are the action value."""
    return 2 * between(vibration, "vibration", 0.0, 100.0, "m/s2") ** 2


def time_to(vibration: float, value: float = ACTION_VALUE) -> float:
    """Trigger time (s) at a vibration (m/s2) until A(8) reaches a value (m/s2).

    May be more than a day, which then says that the value is not reached. Errors: ModelError
    for values that are not positive. Source: A(8) solved for the time.
    """
    ratio = positive(value, "value", "m/s2") / positive(vibration, "vibration", "m/s2")
    return DAY * ratio**2


def weekly_exposure(daily: Sequence[float]) -> float:
    """A(8) averaged over a week of 40 h: root of the sum of A(8)2 / 5.

    Errors: ModelError for more than seven days. Source: schedule 1 part II of the Regulations.
    """
    if len(daily) > 7:
        raise ModelError("wrong_number", "daily", f"{len(daily)} days are given; accepted: up to 7")
    return math.sqrt(math.fsum(not_negative(a8, "A(8)", "m/s2") ** 2 for a8 in daily) / 5)


def typical_use(tool: str, seconds: float) -> Use:
    """A use with the typical vibration of its kind of tool; follow the maker's figure.

    Errors: ModelError for a tool that is not in the table.
    """
    if tool not in TYPICAL:
        raise ModelError(
            "unknown_tool", "tool", f"{tool[:40]!r} is not known; accepted: {', '.join(TYPICAL)}"
        )
    return Use(f"{tool} ({TYPICAL_NOTE})", TYPICAL[tool], not_negative(seconds, "time", "s"))


def minutes_shown(seconds: float) -> str:
    """A time to a value for reading, in whole minutes downwards, so that it errs to safety."""
    return figure(math.floor(not_negative(seconds, "time", "s") / 60 + NEAR), "min", 0)
