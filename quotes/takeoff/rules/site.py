"""Work on site from a take-off: loads and trips, pace and live edge, kits in the heat or cold."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from quotes.engine import heat, loads, timing
from quotes.engine.errors import EngineError, ModelError
from quotes.engine.pace import Crew, LiveEdge, Pace, live_edge, pace
from quotes.engine.profile import profile_of
from quotes.engine.workings import Working
from quotes.takeoff.rules.sheet import Purchase, TakeOff

MOST_LANES = 500
# Still air over tins, and resin a little heavier than water; magnitudes from memory.
TRANSFER, RESIN_DENSITY = 8.0, 1100.0
# Surface of an upright tin as high as it is wide, over its volume to the power of two thirds.
TIN = 1.5 * math.pi * (4 / math.pi) ** (2 / 3)


@dataclass(frozen=True)
class Vehicle:
    """A vehicle by its name and usable payload in kg, None where nobody gave one."""

    name: str
    payload_kg: float | None


@dataclass(frozen=True)
class VehicleTrips:
    """Trips of one vehicle for everything that is taken along; `problem` where it cannot."""

    vehicle: Vehicle
    trips: loads.Trips | None = None
    problem: str = ""

    @property
    def heaviest(self) -> float:
        """Mass of the fullest trip, kg."""
        return max(self.trips.masses, default=0.0) if self.trips else 0.0


@dataclass(frozen=True)
class Loads:
    """What is to carry: kg, pallets, what has no mass in the catalogue, and trips by vehicle."""

    kg: float
    pallets: int
    loose: tuple[str, ...]
    unweighed: tuple[str, ...]
    rows: tuple[VehicleTrips, ...]

    @property
    def workings(self) -> tuple[Working, ...]:
        """How the trips came about."""
        return tuple(said for row in self.rows if row.trips for said in row.trips.workings)


def loads_of(purchases: Sequence[Purchase], vehicles: Sequence[Vehicle]) -> Loads:
    """Return pallets, and the least trips of each vehicle for all that is bought."""
    packs = [
        (each.pack, each.total_packs, f"{each.pack.name} {each.colour_group}".strip())
        for each in purchases if each.total_packs
    ]  # fmt: skip
    items = [
        loads.Item(name, pack.pack_mass_g / 1000, count, pack.packs_per_pallet)
        for pack, count, name in packs if pack.pack_mass_g
    ]  # fmt: skip
    return Loads(
        loads.total_mass(items),
        loads.pallets(items),
        tuple(item.name for item in items if item.per_pallet is None),
        tuple(name for pack, _, name in packs if not pack.pack_mass_g),
        tuple(trips_of(vehicle, items) for vehicle in vehicles),
    )


def trips_of(vehicle: Vehicle, items: Sequence[loads.Item]) -> VehicleTrips:
    """Return the least trips of one vehicle."""
    if not vehicle.payload_kg:
        return VehicleTrips(vehicle, problem="Its usable payload is not known.")
    try:
        return VehicleTrips(vehicle, loads.least_trips(items, vehicle.payload_kg))
    except EngineError as error:
        return VehicleTrips(vehicle, problem=f"A single pack is too heavy: {error.message}.")


@dataclass(frozen=True)
class WorkingDay:
    """How a crew works: its mixers, barrows and hands, hours of laying, and the lanes it lays."""

    crew: Crew
    hours: float
    lane_length: float
    lane_width: float
    back_and_forth: bool = False
    turning: float = 0.0


@dataclass(frozen=True)
class PaceFound:
    """Pace and live edge; `edge_problem` where there is no working time to hold it against."""

    pace: Pace
    edge: LiveEdge | None
    area_per_mix: float
    lanes: int
    edge_problem: str = ""

    @property
    def workings(self) -> tuple[Working, ...]:
        """How both came about."""
        return (*self.pace.workings, *(self.edge.workings if self.edge else ()))


def pace_of(found: TakeOff, day: WorkingDay) -> PaceFound:
    """Return mixes an hour, days and the live edge. Raises ModelError for a day that will not do.

    A mix covers what it does on the average of the job, waste taken off; the shortest working
    time of its blends counts for the edge.
    """
    if found.worked is None:
        raise ModelError("no_answer", "take-off", "there is no take-off to lay")
    sheet = found.worked.found
    per_mix = sheet.area_m2 / sheet.mixes_exact
    laid = pace(day.crew, per_mix, sheet.area_m2, day.hours * 3600)
    lanes = max(1, math.ceil(sheet.area_m2 / (day.lane_length * day.lane_width) - 1e-9))
    if lanes > MOST_LANES:
        raise ModelError(
            "out_of_range", "lanes",
            f"{lanes} lanes of this size; accepted: up to {MOST_LANES}, so longer or wider ones",
        )  # fmt: skip
    times = [each.working_minutes for each in found.worked.timings.values()]
    if any(minutes is None for minutes in times):
        return PaceFound(
            laid, None, per_mix, lanes, "There is no working time at this temperature."
        )
    edge = live_edge(
        [day.lane_length] * lanes,
        day.lane_width,
        laid.mixes_an_hour * per_mix / 3600,
        60 * min(minutes for minutes in times if minutes is not None),
        back_and_forth=day.back_and_forth,
        turning=day.turning,
    )
    return PaceFound(laid, edge, per_mix, lanes)


@dataclass(frozen=True)
class KitStay:
    """A kit's stay and the mix it goes into; temperatures in °C, times in s, masses in kg."""

    kit: float
    store: float
    stay: float
    wanted: float
    stone: float
    drum: float
    drum_kg: float
    base: float
    heap: float


@dataclass(frozen=True)
class KitFound:
    """One kit: its time constant (s), temperature after the stay, wait until the wanted one.

    `wait` is None where it never gets there; `pot_life` (s from the end of mixing) is None
    outside the kit's limits.
    """

    name: str
    constant: float
    after: float
    wait: float | None
    never: str
    mix: heat.MixTemperature
    pot_life: float | None

    @property
    def wait_minutes(self) -> float | None:
        """The wait in minutes, for reading."""
        return None if self.wait is None else self.wait / 60

    @property
    def pot_minutes(self) -> float | None:
        """The working time in minutes, for reading."""
        return None if self.pot_life is None else self.pot_life / 60


def kits_of(found: TakeOff, stay: KitStay) -> tuple[KitFound, ...]:
    """Return each blend's kit after its stay, and the mix it makes. Raises EngineError."""
    if found.worked is None:
        return ()
    rows = []
    for name, blend in found.worked.found.request.blends.items():
        card, mass = found.cards[name or ""], blend.kit.resin_kg
        tau = tin_constant(mass)
        store = profile_of([(0.0, stay.store), (max(stay.stay, 1.0), stay.store)])
        after = heat.kit_temperature(stay.kit, store, stay.stay, tau)
        wait, never = None, ""
        try:
            wait = heat.conditioning_time(stay.kit, stay.store, stay.wanted, tau)
        except ModelError as error:
            never = error.message
        mix = heat.mix_temperature(
            [
                heat.HeatPart("stone and fillers", blend.aggregate_kg, heat.STONE_HEAT, stay.stone),
                heat.HeatPart("kit", mass, heat.RESIN_HEAT, after),
                heat.HeatPart("drum", stay.drum_kg, heat.STEEL_HEAT, stay.drum),
            ]
        )
        law = timing.laws(blend.kit).working
        rows.append(
            KitFound(
                f"{card.kit.name}, {name}" if name else card.kit.name,
                tau,
                after,
                wait,
                never,
                mix,
                heat.pot_life(law, mix.degc, stay.heap, stay.base),
            )
        )
    return tuple(rows)


def tin_constant(mass: float) -> float:
    """Return the time constant (s) of a kit of a mass (kg) in still air, as one upright tin."""
    surface = TIN * (mass / RESIN_DENSITY) ** (2 / 3)
    return heat.lag_constant(mass, heat.RESIN_HEAT, TRANSFER, surface)
