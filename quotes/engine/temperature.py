"""How long a resin gives at a temperature: maker's table, doubling rule, Arrhenius.

Temperatures are in °C and times in seconds. A `TimeLaw` is one time of a kit (working,
rain-safe, cure, foot, vehicle) as a function of temperature. The maker's table wins over any
rule: between its rows the law passes through both of them, beyond its ends the rule carries on
from the last row, and outside the limits no time is answered at all.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal

from quotes.engine.errors import ModelError
from quotes.engine.guards import between, finite, positive
from quotes.engine.workings import Working

GAS_CONSTANT = 8.314462618  # J/(mol K), the 2019 SI value (memory)
ZERO_CELSIUS = 273.15
COLDEST, HOTTEST = -60.0, 120.0  # beyond these a reading is a slip of the pen
DEFAULT_LIMITS = (0.0, 40.0)  # inclusive, where the kit prints none
BEYOND_TABLE = 5.0  # °C that a table may be carried beyond its ends
REFERENCE = 20.0
# Ea that doubles the rate from 20 to 30 °C; derived from R ln 2 / (1/T1 - 1/T2).
DOUBLING_ENERGY = GAS_CONSTANT * math.log(2) / (1 / 293.15 - 1 / 303.15)
SLACK = 1e-9  # a limit met to within this is met

Rule = Literal["doubling", "arrhenius"]


def check_temperature(value: float, where: str) -> float:
    """Return a temperature in °C; ModelError outside -60 to 120 °C or if it is no number."""
    return between(value, where, COLDEST, HOTTEST, "°C")


def check_factor(factor: float, where: str = "factor") -> float:
    """Return the factor by which 10 °C quickens the resin; ModelError outside 1 to 10.

    Makers' data give 1.5 to 2.5; 1 means that temperature makes no difference.
    """
    return between(factor, where, 1.0, 10.0)


def doubling_time(
    reference_s: float, reference_degc: float, temperature_degc: float, factor: float = 2.0
) -> float:
    """Time (s) at a temperature from the time (s) at another: t = t_ref x factor^((Tr - T)/10).

    Errors: ModelError for a time that is not positive, or a temperature or factor out of
    range. Source: the common 10-degree rule for two-part resins (adhesive makers' guidance).
    """
    start = check_temperature(reference_degc, "reference temperature")
    at = check_temperature(temperature_degc, "temperature")
    quicker: float = check_factor(factor) ** ((start - at) / 10)
    return positive(reference_s, "reference time", "s") * quicker


def arrhenius_rate(
    temperature_degc: float,
    reference_degc: float = REFERENCE,
    energy: float = DOUBLING_ENERGY,
    zero: float = ZERO_CELSIUS,
) -> float:
    """Rate at a temperature over the rate at the reference: exp[(Ea/R)(1/Tr - 1/T)], no unit.

    energy is in J/mol; zero is the offset to kelvin (some tables use 273).
    Errors: ModelError for a temperature or energy out of range. Source: Arrhenius; the
    equivalent-age form of ASTM C1074.
    """
    at = check_temperature(temperature_degc, "temperature") + zero
    start = check_temperature(reference_degc, "reference temperature") + zero
    joules = between(energy, "activation energy", 0.0, 500_000.0, "J/mol")
    return math.exp(joules / GAS_CONSTANT * (1 / start - 1 / at))


def doubling_energy(low_degc: float, high_degc: float, factor: float = 2.0) -> float:
    """Activation energy (J/mol) with which the rate rises by `factor` from low to high.

    Errors: ModelError when high is not above low. Source: Arrhenius, solved for Ea.
    """
    low, high = check_temperature(low_degc, "low"), check_temperature(high_degc, "high")
    if high <= low:
        raise ModelError("bad_order", "high", f"high is {high:g} °C; accepted: above {low:g} °C.")
    gap = 1 / (low + ZERO_CELSIUS) - 1 / (high + ZERO_CELSIUS)
    return GAS_CONSTANT * math.log(check_factor(factor)) / gap


@dataclass(frozen=True, slots=True)
class TimeLaw:
    """One time of a kit by temperature.

    rows: (°C, seconds), temperature rising, time never rising; low and high: limits in °C,
    inclusive; floor_s: a time that warmth never shortens (foot and vehicle), 0 for none.
    """

    rows: tuple[tuple[float, float], ...]
    rule: Rule
    factor: float
    energy: float
    low: float
    high: float
    floor_s: float
    source: str


@dataclass(frozen=True, slots=True)
class TimeAt:
    """A time at a temperature: seconds, or None outside the limits, with its workings."""

    seconds: float | None
    workings: tuple[Working, ...]


def printed_law(
    seconds: float,
    *,
    at: float = REFERENCE,
    rule: Rule = "doubling",
    factor: float = 2.0,
    energy: float = DOUBLING_ENERGY,
    limits: tuple[float, float] = DEFAULT_LIMITS,
    floor: bool = False,
) -> TimeLaw:
    """A law from one printed time (s) at one temperature (°C).

    With `floor` warm weather never shortens the time below the printed one.
    Errors: ModelError for a time not positive or limits that are upside down.
    """
    printed = positive(seconds, "printed time", "s")
    row = (check_temperature(at, "printed temperature"), printed)
    return _law((row,), rule, factor, energy, limits, printed if floor else 0.0)


def table_law(
    rows: Sequence[tuple[float, float]],
    *,
    rule: Rule = "doubling",
    factor: float = 2.0,
    energy: float = DOUBLING_ENERGY,
    limits: tuple[float, float] | None = None,
) -> TimeLaw:
    """a law from the maker's table, rows of (°C, seconds) in any order.

    Without limits it may be used 5 °C beyond its ends. Errors: ModelError for an empty table,
    a temperature given twice, or a time that is longer at a warmer row.
    """
    if not rows:
        raise ModelError("empty", "table", "the table is empty; accepted: one row or more.")
    ordered = sorted(
        (check_temperature(at, "table"), positive(time, "table", "s")) for at, time in rows
    )
    for (cool, slow), (warm, quick) in pairwise(ordered):
        if warm == cool:
            raise ModelError(
                "given_twice",
                "table",
                f"the table gives {warm:g} °C twice; accepted: one row for it.",
            )
        if quick > slow:
            raise ModelError(
                "rising_time",
                "table",
                f"the table gives a longer time at {warm:g} °C than at {cool:g} °C; "
                "accepted: times that do not rise with temperature.",
            )
    ends = (ordered[0][0] - BEYOND_TABLE, ordered[-1][0] + BEYOND_TABLE)
    return _law(tuple(ordered), rule, factor, energy, limits or ends, 0.0)


def _law(
    rows: tuple[tuple[float, float], ...],
    rule: Rule,
    factor: float,
    energy: float,
    limits: tuple[float, float],
    floor_s: float,
) -> TimeLaw:
    low, high = (check_temperature(value, "limits") for value in limits)
    if low >= high:
        raise ModelError(
            "bad_order",
            "limits",
            f"the limits are {low:g} and {high:g} °C; accepted: the lower one first.",
        )
    if rule not in {"doubling", "arrhenius"}:
        raise ModelError(
            "unknown_rule", "rule", f"the rule is {rule!r}; accepted: doubling or arrhenius."
        )
    source = "maker's table" if len(rows) > 1 else "time printed by the maker"
    checked = between(energy, "activation energy", 0.0, 500_000.0, "J/mol")
    return TimeLaw(rows, rule, check_factor(factor), checked, low, high, floor_s, source)


def scaled_law(law: TimeLaw, seconds: float, *, at: float = REFERENCE, floor: bool) -> TimeLaw:
    """the same course over temperature, scaled to pass through `seconds` at `at` °C.

    For a time that the maker prints at 20 °C only (foot, vehicle, rain-safe) beside a table
    of another. Errors: ModelError where `at` lies outside -60 to 120 °C.
    """
    wanted = positive(seconds, "printed time", "s")
    share = wanted / raw_time(law, check_temperature(at, "printed temperature"))
    rows = tuple((temperature, time * share) for temperature, time in law.rows)
    return replace(law, rows=rows, floor_s=wanted if floor else 0.0)


def within_limits(law: TimeLaw, temperature_degc: float) -> bool:
    """Whether the temperature (°C) lies within the law's limits; both ends count as within."""
    return law.low - SLACK <= temperature_degc <= law.high + SLACK


def raw_time(law: TimeLaw, temperature_degc: float) -> float:
    """Time (s) by the law with no regard to its limits; never below its floor.

    Errors: ModelError if the temperature is not a number. Used inside integrals, where the
    limits have been looked at already.
    """
    at = finite(temperature_degc, "temperature")
    return max(law.floor_s, _by_rows(law, at))


def _by_rows(law: TimeLaw, at: float) -> float:
    rows = law.rows
    if at <= rows[0][0]:
        return _carried(law, rows[0], at)
    if at >= rows[-1][0]:
        return _carried(law, rows[-1], at)
    for (cool, slow), (warm, quick) in pairwise(rows):
        if at <= warm:
            share = (_scale(law, at) - _scale(law, cool)) / (_scale(law, warm) - _scale(law, cool))
            between_rows: float = slow * (quick / slow) ** share
            return between_rows
    raise AssertionError("rows are sorted, so one of them was reached")  # pragma: no cover


def _scale(law: TimeLaw, at: float) -> float:
    """The scale on which the logarithm of the time runs straight."""
    return at if law.rule == "doubling" else -1 / (at + ZERO_CELSIUS)


def _carried(law: TimeLaw, row: tuple[float, float], at: float) -> float:
    if law.rule == "doubling":
        carried: float = row[1] * law.factor ** ((row[0] - at) / 10)
        return carried
    kelvin, start = at + ZERO_CELSIUS, row[0] + ZERO_CELSIUS
    return row[1] * math.exp(law.energy / GAS_CONSTANT * (1 / kelvin - 1 / start))


def time_at(law: TimeLaw, temperature_degc: float, step: str = "time at temperature") -> TimeAt:
    """The law's time at a temperature in °C: seconds, None outside the limits, and workings.

    Errors: ModelError for a temperature outside -60 to 120 °C.
    """
    at = check_temperature(temperature_degc, "temperature")
    inputs = (("temperature", f"{at:g} °C"), ("limits", f"{law.low:g} to {law.high:g} °C"))
    if not within_limits(law, at):
        said = Working(step, "outside the limits no time is answered", inputs, "none", law.source)
        return TimeAt(None, (said,))
    seconds = raw_time(law, at)
    said = Working(
        step,
        _in_words(law, at),
        (*inputs, ("rows", "; ".join(f"{t:g} °C {s / 60:.4g} min" for t, s in law.rows))),
        f"{seconds / 60:.4g} min",
        law.source,
    )
    return TimeAt(seconds, (said,))


def _in_words(law: TimeLaw, at: float) -> str:
    if law.floor_s and raw_time(law, at) == law.floor_s:
        return "warmth never shortens this time below the printed one"
    rows = law.rows
    if rows[0][0] <= at <= rows[-1][0] and len(rows) > 1:
        joined = "temperature" if law.rule == "doubling" else "one over the absolute temperature"
        return f"between the rows of the table, log of time straight over {joined}"
    if law.rule == "doubling":
        return f"time x {law.factor:g} ^ ((row's temperature - temperature) / 10)"
    return f"time x exp(Ea/R x (1/T - 1/row's T)), Ea {law.energy / 1000:.4g} kJ/mol"


def working_temperature(air_degc: float, surface_degc: float | None = None) -> float:
    """The hotter of air and surface (°C): the cautious choice for working time."""
    air = check_temperature(air_degc, "air")
    return air if surface_degc is None else max(air, check_temperature(surface_degc, "surface"))


def cure_temperature(air_degc: float, surface_degc: float | None = None) -> float:
    """The cooler of air and surface (°C): the cautious choice for cure, rain, foot and wheel."""
    air = check_temperature(air_degc, "air")
    return air if surface_degc is None else min(air, check_temperature(surface_degc, "surface"))
