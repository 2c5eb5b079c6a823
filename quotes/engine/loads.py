"""Loads: usable payload, pallets, and the least number of trips.

Masses in kg. Trips are packed exactly: sacks cannot be split, so the mass alone does not tell.
"""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from quotes.engine.errors import ModelError
from quotes.engine.guards import not_negative, positive, whole
from quotes.engine.packing import pack
from quotes.engine.workings import Working, figure

CATEGORY_B = 3500.0  # kg, maximum authorised mass on an ordinary car licence


@dataclass(frozen=True, slots=True)
class Item:
    """Things to carry: name, mass of one (kg), how many, and how many a pallet takes."""

    name: str
    mass: float
    count: int
    per_pallet: int | None = None


@dataclass(frozen=True, slots=True)
class Payload:
    """What a van may still carry: usable (kg), with its workings."""

    usable: float
    workings: tuple[Working, ...]


@dataclass(frozen=True, slots=True)
class Trips:
    """Trips: for each the counts by item name, and its mass (kg).

    proven: whether fewer trips were shown to be impossible.
    """

    loads: tuple[tuple[tuple[str, int], ...], ...]
    masses: tuple[float, ...]
    proven: bool
    workings: tuple[Working, ...]

    @property
    def count(self) -> int:
        """The number of trips."""
        return len(self.loads)


def usable_payload(plated: float, carried: Mapping[str, float]) -> Payload:
    """Usable payload (kg): plated weight less van, crew, mixer, fuel and tools.

    carried: mass (kg) of each by name; 'van' must be among them. Errors: ModelError for a
    missing van, a negative mass, or nothing left to carry, saying by how much it is over.
    """
    if "van" not in carried:
        raise ModelError(
            "missing", "carried", "the van's own mass is missing; accepted: one named 'van'"
        )
    gross = positive(plated, "plated weight", "kg")
    taken = math.fsum(not_negative(mass, name, "kg") for name, mass in carried.items())
    usable = gross - taken
    if usable <= 0:
        raise ModelError(
            "no_payload",
            "carried",
            f"{figure(taken, 'kg', 1)} are on board already, {figure(-usable, 'kg', 1)} over the "
            f"plated weight or just at it; accepted: less than {figure(gross, 'kg', 1)}",
        )
    inputs = (("plated", f"{gross:g} kg"), *((n, f"{m:g} kg") for n, m in carried.items()))
    said = Working(
        "usable payload",
        "plated weight - all that is on board already",
        inputs,
        figure(usable, "kg", 1),
        "the van's plate and a weighbridge ticket",
    )
    return Payload(usable, (said,))


def total_mass(items: Sequence[Item]) -> float:
    """Mass (kg) of all the items. Errors: ModelError for masses or counts that will not do."""
    return math.fsum(
        positive(item.mass, item.name, "kg") * whole(item.count, item.name) for item in items
    )


def check_trip(mass: float, usable: float) -> None:
    """Raise ModelError if a trip (kg) is over the usable payload (kg), saying by how much."""
    limit = positive(usable, "usable payload", "kg")
    over = not_negative(mass, "trip", "kg") - limit
    if over > 1e-9:
        raise ModelError(
            "over_payload",
            "trip",
            f"{figure(mass, 'kg', 1)} is {figure(over, 'kg', 1)} over the usable payload; "
            f"accepted: {figure(limit, 'kg', 1)} or less",
        )


def overload_percent(gross: float, plated: float) -> float:
    """How far a loaded van (kg) is over its plated weight (kg), in per cent; 0 if it is not."""
    plate = positive(plated, "plated weight", "kg")
    return max(0.0, 100 * (not_negative(gross, "gross weight", "kg") - plate) / plate)


def licence_covers(plated: float) -> bool:
    """Whether a category B licence covers a vehicle of this plated weight (kg), no trailer."""
    return positive(plated, "plated weight", "kg") <= CATEGORY_B


def pallets(items: Sequence[Item]) -> int:
    """Pallets needed when items are not mixed on one: each item's count / per pallet, whole up.

    Items without a pallet count go loose. Errors: ModelError for a pallet count below 1.
    """
    return sum(
        -(-whole(item.count, item.name) // whole(item.per_pallet, "per pallet", 1))
        for item in items
        if item.per_pallet is not None
    )


def least_trips(items: Sequence[Item], usable: float) -> Trips:
    """The least number of trips for the items at a usable payload (kg).

    Exact for the loads of a firm's day (some hundreds of items of a handful of kinds); where
    the search is cut short `proven` is False. Errors: ModelError when a single item is over
    the payload, saying by how much.
    """
    for item in items:
        if whole(item.count, item.name) and positive(item.mass, item.name, "kg"):
            check_trip(item.mass, usable)
    total = total_mass(items)
    kinds = [item for item in items if item.count]
    # Whole grams: sums of floats would refuse a load that fits to the gram.
    grams = [max(1, math.ceil(item.mass * 1000 - 1e-6)) for item in kinds]
    limit = max([math.floor(usable * 1000 + 1e-6), *grams])
    loads, proven = pack(grams, [item.count for item in kinds], limit)
    named = tuple(
        tuple((item.name, n) for item, n in zip(kinds, load, strict=True) if n) for load in loads
    )
    masses = tuple(sum(g * n for g, n in zip(grams, load, strict=True)) / 1000 for load in loads)
    said = Working(
        "trips",
        "sacks and kits packed into the fewest loads that keep to the payload",
        (("to carry", figure(total, "kg", 1)), ("payload", figure(usable, "kg", 1))),
        f"{len(loads)} trips" if proven else f"{len(loads)} trips, fewer not ruled out",
        "exact packing" if proven else "heaviest first",
    )
    return Trips(named, masses, proven, (said,))
