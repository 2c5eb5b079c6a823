"""The site's questions with quantities in and out: the public edge of the site parts.

Each value is a text with a unit ('12 degC') or a pint quantity of the engine's registry, each
answer a pint quantity; a bare number is refused with the units that would do. Inside, the parts
reckon with floats in SI and show their workings; pages that show workings call them directly.
"""

from collections.abc import Mapping, Sequence

import pint

from quotes.engine import (
    blend,
    heat,
    loads,
    moisture,
    permeability,
    temperature,
    units,
    vibration,
    water,
)
from quotes.engine.errors import ModelError
from quotes.engine.units import Q_, Quantity


def dew_point(air: object, humidity: object) -> Quantity:
    """Dew point (temperature) of air at a temperature and a relative humidity ('70 %').

    Errors: UnitError, ModelError. Source: Magnus with the constants of the WMO.
    """
    found = moisture.dew_point(
        units.temperature(air, "air"), units.percent(humidity, "humidity", zero=False)
    )
    return Q_(found, "degree_Celsius")


def least_surface(air: object, humidity: object) -> Quantity:
    """The surface temperature from which the surface is clear of dew: dew point + 3 °C.

    Errors: UnitError, ModelError. Source: coating practice after ISO 8502-4.
    """
    dew = dew_point(air, humidity).to("degree_Celsius").magnitude
    return Q_(float(dew) + moisture.SURFACE_MARGIN, "degree_Celsius")


def time_at(printed: object, at: object, *, factor: float = 2.0) -> Quantity | None:
    """A time printed at 20 °C, at another temperature; None outside 0 to 40 °C.

    printed: time; at: temperature. Errors: UnitError, ModelError. Source: 10-degree rule.
    """
    law = temperature.printed_law(units.duration(printed, "printed time"), factor=factor)
    seconds = temperature.time_at(law, units.temperature(at, "temperature")).seconds
    return None if seconds is None else Q_(seconds, "second")


def conductivity(voids: object, grain: object, at: object = "10 degC") -> Quantity:
    """Permeability (length per time) by Kozeny-Carman, from voids ('30 %') and grain size.

    An upper limit for open stone, where flow is not laminar. Errors: UnitError, ModelError.
    """
    found = permeability.kozeny_carman(
        units.percent(voids, "voids") / 100,
        units.length(grain, "grain"),
        units.temperature(at, "water"),
    )
    return Q_(found.conductivity, "metre / second")


def storage_depth(
    rain: Sequence[tuple[object, object]], infiltration: object, voids: object, ratio: float = 1
) -> Quantity:
    """Depth (length) of sub-base for the worst of some storms, each (duration, depth of rain).

    infiltration: length per time, as a pint quantity. Errors: UnitError, ModelError.
    Source: plane infiltration, as in CIRIA 156 and C753.
    """
    speed = _speed(infiltration, "infiltration")
    table = [
        water.Rain(units.duration(t, "duration"), units.length(d, "rain", zero=True))
        for t, d in rain
    ]
    found = water.storage_depth(table, speed, units.percent(voids, "voids") / 100, ratio)
    return Q_(found.depth, "metre")


def _speed(value: object, where: str) -> float:
    return _in(value, where, "metre / second", "a pint quantity in m/s or mm/h")


def _in(value: object, where: str, unit: str, accepted: str) -> float:
    """The magnitude of a pint quantity in a unit that no text is read in."""
    try:
        if isinstance(value, pint.Quantity):
            return float(value.to(unit).magnitude)
    except (pint.PintError, TypeError, ValueError):
        pass  # said below, as for anything else that is no such quantity
    raise ModelError(
        "bad_unit", where, f"{units.shown(str(value))} will not do; accepted: {accepted}"
    )


def daily_vibration(uses: Sequence[tuple[str, object, object]]) -> Quantity:
    """A(8) (acceleration) of one person's day, from (tool, vibration, trigger time) of each use.

    vibration: a pint quantity in m/s². Errors: UnitError, ModelError. Source: Control of
    Vibration at Work Regulations 2005, schedule 1.
    """
    each = [
        vibration.Use(
            tool,
            _in(shake, tool, "metre / second ** 2", "a pint quantity in m/s²"),
            units.duration(time, tool, zero=True),
        )
        for tool, shake, time in uses
    ]
    return Q_(vibration.daily_exposure(each).a8, "metre / second ** 2")


def mix_temperature(parts: Sequence[tuple[str, object, object, object]]) -> Quantity:
    """Temperature of a mix from (name, mass, specific heat, temperature) of stone, kit and drum.

    specific heat: a pint quantity in J/(kg K), which is m²/(s² K). Errors: UnitError, ModelError.
    """
    found = [
        heat.HeatPart(
            name,
            units.mass(mass, name),
            _in(held, name, "metre ** 2 / second ** 2 / kelvin", "a pint quantity in J/(kg K)"),
            units.temperature(at, name),
        )
        for name, mass, held, at in parts
    ]
    return Q_(heat.mix_temperature(found).degc, "degree_Celsius")


def film_thickness(
    resin: object, resin_density: object, surface: object, aggregate: object
) -> Quantity:
    """Thickness (length) of the resin's film on stone of a specific surface (pint, m²/kg).

    resin, aggregate: mass; resin_density: density. Errors: UnitError, ModelError.
    """
    found = blend.film_thickness(
        units.mass(resin, "resin"),
        units.density(resin_density, "resin density"),
        _in(surface, "surface", "metre ** 2 / kilogram", "a pint quantity in m²/kg"),
        units.mass(aggregate, "aggregate"),
    )
    return Q_(found.value, "metre")


def usable_payload(plated: object, carried: Mapping[str, object]) -> Quantity:
    """Usable payload (mass): plated weight less 'van', crew, mixer, fuel and tools.

    Errors: UnitError, ModelError when nothing is left.
    """
    board = {name: units.mass(mass, name, zero=True) for name, mass in carried.items()}
    return Q_(loads.usable_payload(units.mass(plated, "plated weight"), board).usable, "kilogram")
