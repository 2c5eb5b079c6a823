"""Falls in every notation, and what a slope is for people.

A fall is kept as a ratio of rise to run: 0.0125 for 1:80, 1.25 % or 0.716 degrees.
"""

import math
import re
from dataclasses import dataclass

from quotes.engine.errors import ModelError
from quotes.engine.guards import between, not_negative
from quotes.engine.workings import figure

STEEPEST = 1.0  # 1:1; steeper is a wall, or a slip of the pen
_NUMBER = r"([0-9]{1,6}(?:\.[0-9]{1,9})?)"
_RATIO = re.compile(rf"{_NUMBER} ?(?::|in) ?{_NUMBER}")
_PERCENT = re.compile(rf"{_NUMBER} ?(?:%|percent|per cent)")
_DEGREES = re.compile(rf"{_NUMBER} ?(?:°|deg|degree|degrees)")
_MILLIMETRES = re.compile(rf"{_NUMBER} ?mm ?(?:/|per) ?m")
_ACCEPTED = "'1:80', '1 in 80', '1.25 %', '0.716 degrees' or '12.5 mm/m'"


def parse_fall(text: str, where: str = "fall") -> float:
    """Read a fall as rise over run from any usual notation.

    '1:80', '1 in 80', '1.25 %', '0.716 degrees', '0.716°', '12.5 mm/m', and 'level' for 0.
    Errors: ModelError for anything else, a bare number, or a fall steeper than 1:1.
    """
    if not isinstance(text, str) or len(text) > 40:
        raise ModelError("bad_fall", where, f"this is not a fall; accepted: {_ACCEPTED}")
    said = text.strip().casefold()
    if said == "level":
        return 0.0
    if match := _RATIO.fullmatch(said):
        run = float(match[2])
        if run == 0:
            raise ModelError("bad_fall", where, f"'{text}' has no run; accepted: {_ACCEPTED}")
        fall = float(match[1]) / run
    elif match := _PERCENT.fullmatch(said):
        fall = float(match[1]) / 100
    elif match := _DEGREES.fullmatch(said):
        fall = math.tan(math.radians(between(float(match[1]), where, 0.0, 45.0, "degrees")))
    elif match := _MILLIMETRES.fullmatch(said):
        fall = float(match[1]) / 1000
    else:
        raise ModelError("bad_fall", where, f"'{text}' is not a fall; accepted: {_ACCEPTED}")
    if fall > STEEPEST * (1 + 1e-9):
        raise ModelError("too_steep", where, f"'{text}' is steeper than 1:1; accepted: 1:1 or less")
    return fall


@dataclass(frozen=True, slots=True)
class FallNotations:
    """One fall in every notation, for reading: ratio, per cent, degrees and mm per m."""

    ratio: str
    percent: str
    degrees: str
    millimetres: str


def notations(fall: float) -> FallNotations:
    """A fall (rise over run) in every notation; nought is 'level'.

    Errors: ModelError for a fall outside 0 to 1.
    """
    slope = between(fall, "fall", 0.0, STEEPEST)
    return FallNotations(
        "level" if slope == 0 else f"1:{figure(1 / slope, places=1)}",
        figure(100 * slope, "%", 2),
        f"{figure(degrees(slope), places=3)}°",
        figure(1000 * slope, "mm/m", 1),
    )


def degrees(fall: float) -> float:
    """The angle of a fall in degrees. Errors: ModelError for a fall outside 0 to 1."""
    return math.degrees(math.atan(between(fall, "fall", 0.0, STEEPEST)))


def drop(fall: float, run: float) -> float:
    """The drop (m) of a fall over a run (m). Errors: ModelError for negative values."""
    return not_negative(fall, "fall") * not_negative(run, "run", "m")


def fall_between(upper: float, lower: float, run: float) -> float:
    """The fall from two levels (m) a run (m) apart; negative where it runs back.

    Errors: ModelError for a run that is not positive.
    """
    if run <= 0:
        raise ModelError("not_positive", "run", f"{run:g} m is not positive; accepted: more than 0")
    return (upper - lower) / run


_CLOSE = 1e-9


def slope_for_people(fall: float) -> str:
    """What a slope (rise over run) is to somebody walking or wheeling up it.

    'level' below 1:60, 'gently sloping' to 1:20, 'ramp' to 1:12, else 'too steep for a ramp'.
    Source: Approved Document M volume 1 (gently sloping 1:60 to 1:20; ramp at most 1:12).
    """
    slope = between(fall, "fall", 0.0, STEEPEST)
    if slope < 1 / 60 - _CLOSE:
        return "level"
    if slope <= 1 / 20 + _CLOSE:
        return "gently sloping"
    return "ramp" if slope <= 1 / 12 + _CLOSE else "too steep for a ramp"


def longest_ramp(fall: float) -> float | None:
    """The longest flight (m) between landings at a slope: 10 m at 1:20, 5 at 1:15, 2 at 1:12.

    A slope in between takes the flight of the next steeper row. None for a slope that is no
    ramp: gentler than 1:20 there is no limit, steeper than 1:12 there is no ramp at all.
    Source: Approved Document M, as given in public guides to ramps.
    """
    slope = between(fall, "fall", 0.0, STEEPEST)
    if slope < 1 / 20 - _CLOSE:
        return None
    rows = ((1 / 20, 10.0), (1 / 15, 5.0), (1 / 12, 2.0))
    return next((flight for steepest, flight in rows if slope <= steepest + _CLOSE), None)


def slip_potential(pendulum: float) -> str:
    """Slip potential by pendulum test value: 'high' to 24, 'moderate' to 35, 'low' from 36.

    Values between the whole numbers count to the worse side. Errors: ModelError outside 0 to
    150. Source: UK Slip Resistance Group guidelines, as given by test houses.
    """
    value = between(pendulum, "pendulum value", 0.0, 150.0)
    if value < 25:
        return "high"
    return "moderate" if value < 36 else "low"


def slip_potential_by_roughness(rz: float) -> str:
    """Slip potential by roughness Rz (m): 'high' below 10 µm, 'moderate' to 20, 'low' above.

    Only a hint where no pendulum was at hand; the pendulum overrules it.
    """
    microns = not_negative(rz, "roughness", "m") * 1e6
    if microns < 10 - _CLOSE:
        return "high"
    return "moderate" if microns <= 20 + _CLOSE else "low"
