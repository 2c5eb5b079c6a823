"""Moisture of the air: dew point both ways by Magnus, and the gate before laying.

Temperatures in °C, relative humidity in per cent, pressures in Pa, water in kg/m3.
"""

import math
from dataclasses import dataclass

from quotes.engine.guards import between, not_negative
from quotes.engine.temperature import check_temperature
from quotes.engine.workings import Working

SURFACE_MARGIN = 3.0  # °C, and exactly 3 is enough
HUMIDITY_LIMIT = 85.0  # %; laying wants less than this
BASE_DRY_HOURS = 24.0  # common practice, no source; the data sheet comes first
SLACK = 1e-9
_VAPOUR_CONSTANT = 461.5  # J/(kg K), gas constant of water vapour (memory)
_DRIEST = 1.0


@dataclass(frozen=True, slots=True)
class MagnusSet:
    """Constants of e_s = pressure x exp(a T / (b + T)): Pa, none, °C; name and source."""

    name: str
    pressure: float
    a: float
    b: float
    source: str


WMO = MagnusSet("WMO", 611.2, 17.62, 243.12, "WMO-No. 8; Sonntag 1990")
AERK = MagnusSet("AERK", 610.94, 17.625, 243.04, "Alduchov and Eskridge 1996")


def check_humidity(percent: float, where: str = "humidity") -> float:
    """Return a relative humidity (%); ModelError outside 1 to 100."""
    return between(percent, where, _DRIEST, 100.0, "%")


def saturation_pressure(degc: float, constants: MagnusSet = WMO) -> float:
    """Saturation vapour pressure over water, Pa, at a temperature in °C.

    Errors: ModelError outside -60 to 120 °C. Source: the Magnus form, constants as named.
    """
    at = check_temperature(degc, "temperature")
    return constants.pressure * math.exp(constants.a * at / (constants.b + at))


def dew_point(degc: float, humidity: float, constants: MagnusSet = WMO) -> float:
    """Dew point (°C) of air at a temperature (°C) and relative humidity (%).

    Errors: ModelError for values out of range. Source: Magnus, solved for the dew point:
    g = ln(RH) + aT/(b + T); Td = b g / (a - g).
    """
    at = check_temperature(degc, "temperature")
    damp = math.log(check_humidity(humidity) / 100) + constants.a * at / (constants.b + at)
    return constants.b * damp / (constants.a - damp)


def humidity_from_dew_point(degc: float, dew_degc: float, constants: MagnusSet = WMO) -> float:
    """Relative humidity (%) of air at a temperature and dew point, both °C.

    Errors: ModelError when the dew point is above the temperature, or out of range.
    """
    at = check_temperature(degc, "temperature")
    dew = between(dew_degc, "dew point", -60.0, at, "°C")
    return 100 * saturation_pressure(dew, constants) / saturation_pressure(at, constants)


def water_content(degc: float, humidity: float, constants: MagnusSet = WMO) -> float:
    """Water in the air, kg/m3, by the law of ideal gases.

    Errors: ModelError for values out of range. Source: e / (R_v T).
    """
    pressure = check_humidity(humidity) / 100 * saturation_pressure(degc, constants)
    return pressure / (_VAPOUR_CONSTANT * (degc + 273.15))


def too_damp(humidity: float, limit: float = HUMIDITY_LIMIT) -> bool:
    """Whether the air is too damp to lay: a humidity (%) at the limit or above it.

    Errors: ModelError for values out of range. Source: coating practice asks for less than 85 %.
    """
    return check_humidity(humidity) >= check_humidity(limit, "humidity limit") - SLACK


@dataclass(frozen=True, slots=True)
class SurfaceGate:
    """Whether the surface may be laid on now.

    dew_degc, margin_degc: °C; warm_enough, air_dry_enough, base_dry_enough: each gate;
    least_surface_degc: the surface temperature that would just do.
    """

    dew_degc: float
    margin_degc: float
    least_surface_degc: float
    warm_enough: bool
    air_dry_enough: bool
    base_dry_enough: bool
    workings: tuple[Working, ...]

    @property
    def passes(self) -> bool:
        """Whether all three gates are passed."""
        return self.warm_enough and self.air_dry_enough and self.base_dry_enough


def surface_gate(
    air_degc: float,
    humidity: float,
    surface_degc: float,
    base_dry_s: float,
    *,
    margin_degc: float = SURFACE_MARGIN,
    humidity_limit: float = HUMIDITY_LIMIT,
    base_dry_needed_s: float = BASE_DRY_HOURS * 3600,
    constants: MagnusSet = WMO,
) -> SurfaceGate:
    """the gate before mix 1: surface above dew point, humidity below the limit, base dry.

    A margin of exactly `margin_degc` passes; a humidity of exactly the limit does not; a base
    dry for exactly the time needed passes. Errors: ModelError for values out of range.
    Source: coating practice after ISO 8502-4 (3 °C, below 85 %).
    """
    dew = dew_point(air_degc, humidity, constants)
    margin = check_temperature(surface_degc, "surface") - dew
    dry = not_negative(base_dry_s, "base dry", "s")
    needed = not_negative(margin_degc, "margin", "°C")
    return SurfaceGate(
        dew_degc=dew,
        margin_degc=margin,
        least_surface_degc=dew + needed,
        warm_enough=margin >= needed - SLACK,
        air_dry_enough=not too_damp(humidity, humidity_limit),
        base_dry_enough=dry >= not_negative(base_dry_needed_s, "base dry needed", "s") - SLACK,
        workings=_gate_workings((air_degc, humidity, surface_degc), dew, needed, constants),
    )


def _gate_workings(
    weather: tuple[float, float, float], dew: float, needed: float, constants: MagnusSet
) -> tuple[Working, ...]:
    air_degc, humidity, surface_degc = weather
    return (
        Working(
            "dew point",
            "g = ln(humidity) + aT/(b + T); dew point = b g / (a - g)",
            (
                ("air", f"{air_degc:g} °C"),
                ("humidity", f"{humidity:g} %"),
                ("a, b", f"{constants.a:g}, {constants.b:g} °C"),
            ),
            f"{dew:.1f} °C",
            constants.source,
        ),
        Working(
            "surface margin",
            f"surface - dew point, at least {needed:g} °C",
            (("surface", f"{surface_degc:g} °C"), ("dew point", f"{dew:.1f} °C")),
            f"{surface_degc - dew:.1f} °C",
            "coating practice after ISO 8502-4",
        ),
    )
