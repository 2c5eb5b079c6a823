"""Units: one small pint registry, and a strict reader of quantities written as text.

Quantities are written as a number and a unit ('3.2 m', '12 ft 6 in', '26 min', '12 degC',
'70 %'). The reader is our own: it knows the units listed here and no arithmetic, so that a text
from outside never reaches a general expression parser. Each reader takes a text or a pint
quantity, says with `where` which value it was, and returns a float in the unit named in its
docstring. Bare numbers, NaN, infinities, unknown units and figures out of all proportion raise
UnitError.
"""

import math
import re
from typing import Any, Final

import pint

from quotes.engine.dimensions import (
    ANGLE,
    AREA,
    DENSITY,
    DURATION,
    LENGTH,
    MASS,
    PERCENT,
    Dimension,
)
from quotes.engine.errors import UnitError

_DEFINITIONS: Final = (
    "kilo- = 1e3 = k-",
    "centi- = 1e-2 = c-",
    "milli- = 1e-3 = m-",
    "metre = [length] = m = meter",
    "second = [time] = s",
    "minute = 60 * second = min",
    "hour = 60 * minute = h",
    "day = 24 * hour = d",
    "gram = [mass] = g",
    "tonne = 1000 * kilogram = t",
    "pound = 0.45359237 * kilogram = lb",
    "inch = 0.0254 * metre = in",
    "foot = 12 * inch = ft",
    "yard = 3 * foot = yd",
    "litre = 1e-3 * metre ** 3 = L = l = liter",
    "kelvin = [temperature]; offset: 0 = K",
    "degree_Celsius = kelvin; offset: 273.15 = °C = degC",
    "degree_Fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9 = °F = degF",
    "radian = [] = rad",
    "degree = 0.017453292519943295 * radian = deg",
    "percent = 0.01 = %",
)


def _registry() -> pint.UnitRegistry[Any]:
    registry: pint.UnitRegistry[Any] = pint.UnitRegistry(None)
    for line in _DEFINITIONS:
        registry.define(line)
    return registry


ureg: Final = _registry()
Q_ = ureg.Quantity
Quantity = pint.Quantity[Any]

MAX_TEXT: Final = 60
_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?")
_GAP = " \u00a0\u2009\u202f"
_SHOWN: Final = 40


_TEMPERATURES: Final = {
    "degC": "C",
    "°C": "C",
    "℃": "C",
    "degF": "F",
    "°F": "F",
    "K": "K",
}
COLDEST: Final = -60.0
HOTTEST: Final = 120.0


def shown(value: object) -> str:
    """A value from outside, short enough to print in a sentence."""
    text = repr(value) if not isinstance(value, str) else f"'{value}'"
    text = (
        text.encode("ascii", "backslashreplace").decode("ascii") if not text.isprintable() else text
    )
    return text if len(text) <= _SHOWN else f"{text[:_SHOWN]}…"


def _text(value: object, where: str, name: str, example: str, units: str) -> str:
    """The text of a quantity, or the refusal that says which units would do."""
    if isinstance(value, str):
        if len(value) > MAX_TEXT:
            raise UnitError(
                "too_long", where, f"this text is too long for a {name}; write {example}"
            )
        return value.strip(_GAP)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise UnitError(
            "bad_quantity",
            where,
            f"{shown(value)} is not a {name}; write a text with a unit ({units}), as {example}",
        )
    raise UnitError(
        "no_unit",
        where,
        f"{shown(value)} is a bare number; a {name} needs one of {units}, as {example}",
    )


def _split(text: str, where: str, name: str, example: str, units: str) -> tuple[float, str]:
    """A text as (number, unit); the unit may be empty."""
    match = _NUMBER.match(text)
    if match is None:
        raise UnitError(
            "bad_quantity",
            where,
            f"{shown(text)} does not start with a plain number; write {example}",
        )
    number, unit = float(match[0]), text[match.end() :].strip(_GAP)
    if not unit:
        raise UnitError(
            "no_unit",
            where,
            f"{shown(text)} has no unit; a {name} needs one of {units}, as {example}",
        )
    if not math.isfinite(number):
        raise UnitError("out_of_range", where, f"{shown(text)} is not a finite number")
    return number, unit


def _plain(unit: str) -> str:
    """m², m2 and m^2 are one spelling; so are the cubes."""
    unit = unit.replace("²", "^2").replace("³", "^3").replace("litre", "L")
    return re.sub(r"(?<=[a-z])([23])\b", r"^\1", unit)


def _magnitude(number: float, unit: str, dim: Dimension, text: str, where: str) -> float:
    ratio = dim.units.get(unit) or dim.units.get(_plain(unit))
    if ratio is None:
        raise UnitError(
            "bad_unit",
            where,
            f"{shown(text)} has no unit of {dim.name} that is known here; "
            f"use one of {', '.join(dim.units)}, as {dim.example}",
        )
    return number * ratio[0] / ratio[1]


def _parse(text: str, dim: Dimension, where: str) -> float:
    units = ", ".join(dim.units)
    number, unit = _split(text, where, dim.name, dim.example, units)
    for first, seconds in dim.within.items():
        rest = unit[len(first) :].strip(_GAP)
        if unit.startswith(first) and rest and _NUMBER.match(rest):
            minor, second = _split(rest, where, dim.name, dim.example, units)
            if second not in seconds or number < 0 or not float(number).is_integer():
                break
            whole = _magnitude(number, first, dim, text, where)
            part = _magnitude(minor, second, dim, text, where)
            if not 0 <= part < _magnitude(1.0, first, dim, text, where):
                raise UnitError(
                    "bad_quantity",
                    where,
                    f"{shown(text)} has more {second} than make one {first}; write {dim.example}",
                )
            return whole + part
    return _magnitude(number, unit, dim, text, where)


def measure(value: object, dim: Dimension, where: str, *, zero: bool = False) -> float:
    """Read a quantity of one dimension as a float in its SI unit.

    value: a text or a pint quantity; zero: whether nought is accepted (negative never is).
    Raises UnitError.
    """
    if isinstance(value, pint.Quantity):
        found = _from_pint(value, dim, where)
        text = str(value)
    else:
        text = _text(value, where, dim.name, dim.example, ", ".join(dim.units))
        found = _parse(text, dim, where)
    if not math.isfinite(found):
        raise UnitError("out_of_range", where, f"{shown(text)} is not a finite {dim.name}")
    if found == 0 and (zero or dim.least == 0):
        return 0.0
    if found <= 0:
        raise UnitError(
            "not_positive",
            where,
            f"{shown(text)} must be {'nought or more' if zero else 'more than nought'}; "
            f"write a {dim.name} such as {dim.example}",
        )
    if not (dim.least * (1 - 1e-12) <= found or zero) or found > dim.most * (1 + 1e-12):
        raise UnitError(
            "out_of_range",
            where,
            f"{shown(text)} is out of all proportion for a {dim.name} here; accepted is "
            f"{dim.least:g} to {dim.most:g} {dim.si.replace(' ** ', '^').replace(' ', '')}",
        )
    return found


def _from_pint(value: Quantity, dim: Dimension, where: str) -> float:
    try:
        return float(value.to(dim.si).magnitude)
    except (pint.PintError, TypeError, ValueError, OverflowError) as error:
        raise UnitError(
            "bad_unit", where, f"{shown(str(value))} is not a {dim.name}; write {dim.example}"
        ) from error


def length(value: object, where: str, *, zero: bool = False) -> float:
    """A length in metres ('3.2 m', '3200mm', '12 ft 6 in'); see measure()."""
    return measure(value, LENGTH, where, zero=zero)


def area(value: object, where: str, *, zero: bool = False) -> float:
    """An area in square metres ('3.15 m^2', '3.15 m²')."""
    return measure(value, AREA, where, zero=zero)


def mass(value: object, where: str, *, zero: bool = False) -> float:
    """A mass in kilograms ('4.8 kg', '250 g')."""
    return measure(value, MASS, where, zero=zero)


def density(value: object, where: str, *, zero: bool = False) -> float:
    """A density in kg/m³ ('1778 kg/m^3', '1.778 t/m^3')."""
    return measure(value, DENSITY, where, zero=zero)


def duration(value: object, where: str, *, zero: bool = False) -> float:
    """A time in seconds ('26 min', '10 h', '1 h 30 min')."""
    return measure(value, DURATION, where, zero=zero)


def minutes(value: object, where: str, *, zero: bool = False) -> float:
    """A time in minutes ('26 min', '10 h')."""
    return measure(value, DURATION, where, zero=zero) / 60


def angle(value: object, where: str) -> float:
    """An angle in radians, more than nought and at most a full turn ('90 deg', '1.57 rad')."""
    return measure(value, ANGLE, where)


def percent(value: object, where: str, *, zero: bool = True) -> float:
    """A percentage as its figure, 70.0 for '70 %'; nought to 100."""
    return measure(value, PERCENT, where, zero=zero)


def temperature(value: object, where: str) -> float:
    """A temperature in °C ('12 degC', '12 °C', '53.6 degF', '285.15 K').

    Raises UnitError; −60 to 120 °C is accepted, for drums and stores as well as weather.
    """
    example = "'12 degC'"
    if isinstance(value, pint.Quantity):
        text, celsius = str(value), _celsius_from_pint(value, where)
    else:
        text = _text(value, where, "temperature", example, "degC, °C, degF, °F, K")
        number, unit = _split(text, where, "temperature", example, "degC, °C, degF, °F, K")
        scale = _TEMPERATURES.get(unit)
        if scale is None:
            raise UnitError(
                "bad_unit",
                where,
                f"{shown(text)} has no unit of temperature that is known here; "
                f"use one of degC, °C, degF, °F, K, as {example}",
            )
        celsius = {"C": number, "F": (number - 32) * 5 / 9, "K": number - 273.15}[scale]
    if not COLDEST <= celsius <= HOTTEST:
        raise UnitError(
            "out_of_range",
            where,
            f"{shown(text)} is no temperature of this trade; accepted is "
            f"{COLDEST:g} to {HOTTEST:g} degC",
        )
    return celsius


def _celsius_from_pint(value: Quantity, where: str) -> float:
    try:
        celsius = float(value.to("degree_Celsius").magnitude)
    except (pint.PintError, TypeError, ValueError, OverflowError) as error:
        raise UnitError(
            "bad_unit", where, f"{shown(str(value))} is not a temperature; write '12 degC'"
        ) from error
    if not math.isfinite(celsius):
        raise UnitError("out_of_range", where, f"{shown(str(value))} is not a finite temperature")
    return celsius
