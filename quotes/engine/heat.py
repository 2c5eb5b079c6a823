"""Heat of stone, kit and drum: the mix's temperature, and a kit's lag in a hot or cold store.

Temperatures in °C, masses in kg, specific heats in J/(kg K), times in s.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from quotes.engine.errors import ModelError
from quotes.engine.guards import finite, not_negative, positive
from quotes.engine.profile import Profile, temperature_at
from quotes.engine.temperature import (
    TimeLaw,
    check_temperature,
    raw_time,
    within_limits,
)
from quotes.engine.workings import Working

# Handbook magnitudes, from memory; a maker's own figure comes first.
STONE_HEAT = 840.0
RESIN_HEAT = 1900.0
STEEL_HEAT = 480.0


@dataclass(frozen=True, slots=True)
class HeatPart:
    """One part of a mix: its name, mass (kg), specific heat (J/(kg K)) and temperature (°C)."""

    name: str
    mass: float
    specific_heat: float
    degc: float


@dataclass(frozen=True, slots=True)
class MixTemperature:
    """The temperature (°C) of the mix as it leaves the drum, with its workings."""

    degc: float
    workings: tuple[Working, ...]


def mix_temperature(parts: Sequence[HeatPart]) -> MixTemperature:
    """the heat-weighted mean of stone, kit and drum: sum of m c T over sum of m c.

    The little heat that the resin makes while mixing is left out: working times are printed
    with it. Errors: ModelError for no parts, or masses and heats that are not positive.
    Source: balance of heat.
    """
    if not parts:
        raise ModelError("empty", "parts", "the mix has no parts; accepted: one or more.")
    weighed = [
        (
            positive(part.mass, f"mass of {part.name}", "kg")
            * positive(part.specific_heat, f"specific heat of {part.name}", "J/(kg K)"),
            check_temperature(part.degc, f"temperature of {part.name}"),
        )
        for part in parts
    ]
    degc = math.fsum(heat * at for heat, at in weighed) / math.fsum(heat for heat, _ in weighed)
    said = Working(
        "mix temperature",
        "sum of mass x specific heat x temperature / sum of mass x specific heat",
        tuple(
            (part.name, f"{part.mass:g} kg, {part.specific_heat:g} J/(kg K), {part.degc:g} °C")
            for part in parts
        ),
        f"{degc:.1f} °C",
        "balance of heat; specific heats are handbook magnitudes",
    )
    return MixTemperature(degc, (said,))


def pot_life(law: TimeLaw, mix_degc: float, in_heap_s: float, base_degc: float) -> float | None:
    """Working time (s) from the end of mixing: the heap at its own temperature, then the base's.

    in_heap_s is how long the mix stays in drum and barrow before it is spread. None where
    either temperature is outside the law's limits. If the heap uses the time up, the answer is
    the heap's own time. Errors: ModelError for a negative time or a temperature out of range.
    """
    heap = check_temperature(mix_degc, "mix temperature")
    base = check_temperature(base_degc, "base temperature")
    waiting = not_negative(in_heap_s, "time in the heap", "s")
    if not (within_limits(law, heap) and within_limits(law, base)):
        return None
    used = waiting / raw_time(law, heap)
    if used >= 1:
        return raw_time(law, heap)
    return waiting + (1 - used) * raw_time(law, base)


def lag_constant(mass: float, specific_heat: float, transfer: float, area: float) -> float:
    """Time constant (s) of a kit in still air: m c / (h A).

    transfer: h in W/(m2 K), about 5 to 10 in still air (memory); area: bare surface in m2.
    Errors: ModelError for anything not positive. Source: Newton's law of cooling.
    """
    held = positive(mass, "mass", "kg") * positive(specific_heat, "specific heat", "J/(kg K)")
    return held / (positive(transfer, "heat transfer") * positive(area, "area", "m2"))


def kit_temperature(start_degc: float, store: Profile, seconds: float, constant_s: float) -> float:
    """Temperature (°C) of a kit after so many seconds in a store, by first-order lag.

    The store's temperature runs straight between its points; each piece is solved exactly.
    Errors: ModelError for a time outside the profile or a constant that is not positive.
    """
    kit = check_temperature(start_degc, "kit temperature")
    tau = positive(constant_s, "time constant", "s")
    end = finite(seconds, "time")
    temperature_at(store, end)  # refuses a time outside the profile
    for (t0, v0), (t1, v1) in zip(store.points, store.points[1:], strict=False):
        span = min(t1, end) - t0
        if span <= 0:
            continue
        slope = (v1 - v0) / (t1 - t0)
        # dK/dt = (S - K)/tau with S = v0 + slope t: the kit trails the ramp by slope x tau.
        kit = v0 + slope * (span - tau) + (kit - v0 + slope * tau) * math.exp(-span / tau)
    return kit


def conditioning_time(
    start_degc: float, store_degc: float, wanted_degc: float, constant_s: float
) -> float:
    """Time (s) until a kit in a steady store reaches a wanted temperature.

    Errors: ModelError where it never does, because the wanted temperature does not lie between
    the kit's and the store's. Source: first-order lag, t = tau ln((K0 - S)/(K - S)).
    """
    kit = check_temperature(start_degc, "kit temperature")
    store = check_temperature(store_degc, "store temperature")
    wanted = check_temperature(wanted_degc, "wanted temperature")
    tau = positive(constant_s, "time constant", "s")
    if wanted == kit:
        return 0.0
    if not min(kit, store) <= wanted <= max(kit, store) or wanted == store:
        raise ModelError(
            "never_reached",
            "wanted temperature",
            f"a kit at {kit:g} °C in a store at {store:g} °C never reaches {wanted:g} °C; "
            "accepted: a temperature between the two.",
        )
    return tau * math.log((kit - store) / (wanted - store))
