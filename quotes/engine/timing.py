"""The times of a kit at the weather of the day.

The hotter of air and surface rules the working time, the cooler the cure and everything after
it. Warm weather never shortens foot or vehicle time below the printed 20 °C figure. Between the
rows of a maker's table the logarithm of the time runs straight over temperature, beyond its ends
the doubling rule carries on. Where the kit prints no foot or vehicle time, 24 h and 72 h are
taken, and never less than its cure: common practice, no source.
"""

from dataclasses import dataclass
from functools import lru_cache

from quotes.engine import temperature
from quotes.engine.cards import Kit
from quotes.engine.temperature import TimeLaw
from quotes.engine.workings import COMMON_PRACTICE, Working, figure

FOOT_20_S = 24 * 3600.0
VEHICLE_20_S = 72 * 3600.0


@dataclass(frozen=True, slots=True)
class Laws:
    """The times of a kit as functions of temperature."""

    working: TimeLaw
    cure: TimeLaw
    rain_safe: TimeLaw
    foot: TimeLaw
    vehicle: TimeLaw


@dataclass(frozen=True, slots=True)
class Timing:
    """Times in the units of their names; all None outside the limits."""

    working_minutes: float | None
    cure_hours: float | None
    rain_safe_hours: float | None
    foot_hours: float | None
    vehicle_hours: float | None
    low: float
    high: float
    warm: float
    cool: float
    workings: tuple[Working, ...]

    def as_dict(self) -> dict[str, float | None]:
        """The times as the answer document prints them."""
        return {
            "working_minutes": self.working_minutes,
            "cure_hours": self.cure_hours,
            "rain_safe_hours": self.rain_safe_hours,
            "foot_hours": self.foot_hours,
            "vehicle_hours": self.vehicle_hours,
        }


def foot_and_vehicle(kit: Kit) -> tuple[float, float]:
    """The kit's 20 °C foot and vehicle times in s, or the cautious defaults."""
    foot = kit.foot_20_s or max(FOOT_20_S, kit.cure_20_s)
    return foot, kit.vehicle_20_s or max(VEHICLE_20_S, foot)


@lru_cache(maxsize=512)
def laws(kit: Kit) -> Laws:
    """The laws of a kit. Raises EngineError for limits upside down or a table that contradicts
    itself; where is then 'limits' or 'table'.
    """
    limits = kit.limits or temperature.DEFAULT_LIMITS
    if kit.table:
        working = temperature.table_law([(t, w) for t, w, _ in kit.table], limits=kit.limits)
        cure = temperature.table_law([(t, c) for t, _, c in kit.table], limits=kit.limits)
    else:
        working = temperature.printed_law(kit.working_20_s, limits=limits)
        cure = temperature.printed_law(kit.cure_20_s, limits=limits)
    foot, vehicle = foot_and_vehicle(kit)
    rain = kit.rain_safe_20_s
    return Laws(
        working,
        cure,
        cure if rain is None else temperature.scaled_law(cure, rain, floor=False),
        temperature.scaled_law(cure, foot, floor=True),
        temperature.scaled_law(cure, vehicle, floor=True),
    )


def times(kit: Kit, air: float, surface: float | None = None) -> Timing:
    """The kit's times at an air and, where known, a surface temperature in °C."""
    found = laws(kit)
    warm = temperature.working_temperature(air, surface)
    cool = temperature.cure_temperature(air, surface)
    low, high = found.working.low, found.working.high
    if not (
        temperature.within_limits(found.working, warm)
        and temperature.within_limits(found.working, cool)
    ):
        return Timing(*(None,) * 5, low, high, warm, cool, (_outside(low, high, warm, cool),))
    working = temperature.time_at(found.working, warm, "working time")
    cure = temperature.time_at(found.cure, cool, "cure")
    rain, foot, vehicle = (
        temperature.raw_time(law, cool) for law in (found.rain_safe, found.foot, found.vehicle)
    )
    after = _after(kit, cool, rain, foot, vehicle)
    assert working.seconds is not None and cure.seconds is not None  # noqa: S101, PT018  within
    return Timing(
        working.seconds / 60,
        cure.seconds / 3600,
        rain / 3600,
        foot / 3600,
        vehicle / 3600,
        low,
        high,
        warm,
        cool,
        (*working.workings, *cure.workings, after),
    )


def _outside(low: float, high: float, warm: float, cool: float) -> Working:
    return Working(
        "times",
        "outside the limits no time is answered",
        (
            ("hotter of air and surface", figure(warm, "°C", 1)),
            ("cooler of air and surface", figure(cool, "°C", 1)),
            ("limits", f"{low:g} to {high:g} °C"),
        ),
        "none",
        "limits of the kit",
    )


def _after(kit: Kit, cool: float, rain: float, foot: float, vehicle: float) -> Working:
    at_20 = foot_and_vehicle(kit)
    said = []
    for name, printed, used in zip(
        ("foot", "vehicle"), (kit.foot_20_s, kit.vehicle_20_s), at_20, strict=True
    ):
        whence = "printed" if printed else COMMON_PRACTICE
        said.append((f"{name} time at 20 °C", f"{figure(used / 3600, 'h', 1)} ({whence})"))
    safe = kit.rain_safe_20_s
    return Working(
        "rain-safe, foot and vehicle time",
        "the 20 °C figure in the same proportion as the cure; foot and vehicle never less than at "
        "20 °C; rain-safe is the cure where the kit prints none",
        (
            ("cooler of air and surface", figure(cool, "°C", 1)),
            ("rain-safe at 20 °C", figure(safe / 3600, "h", 1) if safe else "not printed"),
            *said,
        ),
        f"rain-safe {figure(rain / 3600, 'h', 2)}, foot {figure(foot / 3600, 'h', 2)}, "
        f"vehicles {figure(vehicle / 3600, 'h', 2)}",
        "kit and the 10-degree rule",
    )
