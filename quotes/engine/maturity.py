"""Age under a changing temperature: equivalent age, Nurse-Saul, and the hour a stage is reached.

Temperatures run straight between the hours of a `Profile`; times are in s from its first point.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass

from quotes.engine.guards import not_negative, positive
from quotes.engine.profile import Profile, check_span, cooler_of, pieces_of
from quotes.engine.temperature import (
    DOUBLING_ENERGY,
    REFERENCE,
    ZERO_CELSIUS,
    TimeLaw,
    arrhenius_rate,
    check_temperature,
    raw_time,
    within_limits,
)
from quotes.engine.workings import Working

# Gauss-Legendre, five points on -1 to 1 (Abramowitz and Stegun, table 25.4; memory).
_NODES = (
    (0.0, 0.5688888888888889),
    (0.5384693101056831, 0.4786286704993665),
    (-0.5384693101056831, 0.4786286704993665),
    (0.9061798459386640, 0.2369268850561891),
    (-0.9061798459386640, 0.2369268850561891),
)
_DONE = 1.0 - 1e-12


@dataclass(frozen=True, slots=True)
class ReadyAt:
    """When a stage is reached: seconds from the profile's first point, or None and the reason.

    reason: "" when reached, else "outside_limits" or "profile_ends".
    """

    seconds: float | None
    reason: str
    workings: tuple[Working, ...]


def _integral(piece: tuple[float, float, float, float], rate: Callable[[float], float]) -> float:
    t0, v0, t1, v1 = piece
    middle, half = (v0 + v1) / 2, (v1 - v0) / 2
    return (t1 - t0) / 2 * sum(weight * rate(middle + half * node) for node, weight in _NODES)


def _kinks(law: TimeLaw) -> list[float]:
    """Temperatures at which the law's course bends: its rows, and where its floor begins."""
    kinks = [at for at, _ in law.rows]
    low, high = law.low, law.high
    if law.floor_s and raw_time(law, low) > law.floor_s:
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if raw_time(law, middle) > law.floor_s else (low, middle)
        kinks.append(low)
    return kinks


def used_share(law: TimeLaw, profile: Profile, begin: float, end: float) -> float:
    """the share of the law's time used between two times (s): the integral of dt / t(T).

    1 means that the time is up. Limits are not looked at here. Errors: ModelError when the
    span lies outside the profile.
    """
    check_span(profile, begin, end)
    pieces = pieces_of(profile, begin, end, _kinks(law))
    return math.fsum(_integral(piece, lambda at: 1 / raw_time(law, at)) for piece in pieces)


def equivalent_age(
    profile: Profile,
    begin: float,
    end: float,
    *,
    reference_degc: float = REFERENCE,
    energy: float = DOUBLING_ENERGY,
    zero: float = ZERO_CELSIUS,
) -> float:
    """Equivalent age (s) at the reference temperature: the integral of the Arrhenius rate.

    Errors: ModelError for a span outside the profile or values out of range.
    Source: equivalent age of ASTM C1074.
    """
    check_span(profile, begin, end)

    def rate(at: float) -> float:
        return arrhenius_rate(at, reference_degc, energy, zero)

    return math.fsum(_integral(piece, rate) for piece in pieces_of(profile, begin, end))


def nurse_saul(profile: Profile, begin: float, end: float, datum_degc: float = 0.0) -> float:
    """Temperature-time factor (°C s): the integral of T - T0; time below T0 counts nothing.

    Errors: ModelError for a span outside the profile. Source: Nurse-Saul, ASTM C1074.
    """
    check_span(profile, begin, end)
    datum = check_temperature(datum_degc, "datum")
    return math.fsum(
        (t1 - t0) * max((v0 + v1) / 2 - datum, 0.0)
        for t0, v0, t1, v1 in pieces_of(profile, begin, end, (datum,))
    )


def time_to_factor(factor_degc_s: float, temperature_degc: float, datum: float = 0.0) -> float:
    """Time (s) at a steady temperature to reach a temperature-time factor (°C s).

    Errors: ModelError at or below the datum, where it is never reached.
    """
    above = check_temperature(temperature_degc, "temperature") - datum
    return not_negative(factor_degc_s, "factor") / positive(above, "degrees above the datum")


def temperature_to_factor(factor_degc_s: float, seconds: float, datum: float = 0.0) -> float:
    """The steady temperature (°C) that reaches a factor (°C s) in so many seconds."""
    return not_negative(factor_degc_s, "factor") / positive(seconds, "time", "s") + datum


def ready_at(law: TimeLaw, profile: Profile, begin: float, step: str = "stage reached") -> ReadyAt:
    """When the law's time, begun at `begin` (s), is up under the profile.

    Answers None with a reason where the temperature leaves the law's limits first, or the
    profile ends first. Errors: ModelError when `begin` lies outside the profile.
    """
    check_span(profile, begin, profile.length)
    used = 0.0
    for piece in pieces_of(profile, begin, profile.length, [*_kinks(law), law.low, law.high]):
        if not within_limits(law, (piece[1] + piece[3]) / 2):
            return _not_ready(law, step, "outside_limits", piece[0], used)
        gain = _integral(piece, lambda at: 1 / raw_time(law, at))
        if used + gain >= _DONE:
            seconds = _inside(law, piece, 1.0 - used)
            return ReadyAt(seconds, "", (_said(law, step, begin, seconds),))
        used += gain
    return _not_ready(law, step, "profile_ends", profile.length, used)


@dataclass(frozen=True, slots=True)
class SurfaceHours:
    """When a surface laid at one moment is rain-safe, may be walked on and driven on."""

    rain_safe: ReadyAt
    foot: ReadyAt
    vehicles: ReadyAt


def surface_hours(
    laws: tuple[TimeLaw, TimeLaw, TimeLaw], air: Profile, surface: Profile | None, laid: float
) -> SurfaceHours:
    """When a surface laid at `laid` (s from the first point) is rain-safe and may be used.

    laws: the kit's rain-safe, foot and vehicle times in this order; the cooler of air and
    surface counts at every moment. Errors: ModelError when `laid` lies outside the profile.
    """
    cooler = air if surface is None else cooler_of(air, surface)
    rain, foot, vehicles = laws
    return SurfaceHours(
        ready_at(rain, cooler, laid, "rain-safe"),
        ready_at(foot, cooler, laid, "may be walked on"),
        ready_at(vehicles, cooler, laid, "may be driven on"),
    )


def latest_begin(law: TimeLaw, profile: Profile, end: float) -> float | None:
    """the latest time (s) at which the law's time may begin so as to be up by `end` (s).

    None where no beginning within profile and limits does. Errors: ModelError when `end` lies
    outside the profile.
    """
    check_span(profile, 0.0, end)
    used = 0.0
    for piece in reversed(pieces_of(profile, 0.0, end, [*_kinks(law), law.low, law.high])):
        if not within_limits(law, (piece[1] + piece[3]) / 2):
            return None
        gain = _integral(piece, lambda at: 1 / raw_time(law, at))
        if used + gain >= _DONE:
            turned = (piece[0], piece[3], piece[2], piece[1])
            return piece[0] + piece[2] - _inside(law, turned, 1.0 - used)
        used += gain
    return None


def _inside(law: TimeLaw, piece: tuple[float, float, float, float], wanted: float) -> float:
    t0, v0, t1, v1 = piece
    low, high = t0, t1
    for _ in range(60):
        middle = (low + high) / 2
        there = v0 + (v1 - v0) * (middle - t0) / (t1 - t0)
        part = _integral((t0, v0, middle, there), lambda at: 1 / raw_time(law, at))
        low, high = (middle, high) if part < wanted else (low, middle)
    return high


def _said(law: TimeLaw, step: str, begin: float, seconds: float) -> Working:
    return Working(
        step,
        "hour by hour, elapsed time / time at that temperature, added until it makes 1",
        (("begun after", f"{begin / 3600:.2f} h"),),
        f"{seconds / 3600:.2f} h",
        law.source,
    )


def _not_ready(law: TimeLaw, step: str, reason: str, at: float, used: float) -> ReadyAt:
    why = {
        "outside_limits": f"after {at / 3600:.2f} h the temperature is outside the limits",
        "profile_ends": "the hours given end before the time is up",
    }[reason]
    inputs = (("share used by then", f"{used:.0%}"),)
    return ReadyAt(None, reason, (Working(step, why, inputs, "none", law.source),))
