"""Stone of a blend: surface, resin film, voids and permeability, where its sizes are known."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from quotes.engine import blend as stone
from quotes.engine import cards
from quotes.engine.errors import EngineError
from quotes.engine.grading import Grading, combine_masses, fineness_modulus, grading
from quotes.engine.permeability import Permeability, kozeny_carman
from quotes.engine.workings import Working
from quotes.takeoff.rules.sheet import TakeOff

RESIN_DENSITY = 1100.0  # kg/m³, a magnitude from memory; the data sheet comes first
# A stone sold as 2 to 5 mm is taken to lie between the two; its laboratory sheet knows better.


@dataclass(frozen=True)
class Stone:
    """Figures of one blend. `missing` says what was not known; figures are then left out."""

    name: str
    missing: tuple[str, ...]
    facts: tuple[tuple[str, str], ...] = ()
    passing: tuple[tuple[float, float], ...] = ()
    remark: str = ""
    workings: tuple[Working, ...] = ()


def stones_of(found: TakeOff, sizes: dict[int, tuple[float | None, float | None]]) -> list[Stone]:
    """Return the figures of each blend; sizes: item -> (low, high) in mm, None where not known."""
    if found.worked is None:
        return []
    blends = found.worked.found.request.blends
    return [
        stone_of(name or "", blend, [
            (pack.name, part.kg, sizes.get(pack.item_id, (None, None)))
            for (pack, _), part in zip(
                found.cards[name or ""].components, blend.components, strict=True
            )
        ])
        for name, blend in blends.items()
    ]  # fmt: skip


def stone_of(
    name: str,
    blend: cards.Blend,
    parts: Iterable[tuple[str, float, tuple[float | None, float | None]]],
) -> Stone:
    """Return one blend's figures from (name, kg in a mix, (low, high) in mm) of its parts."""
    known: list[tuple[float, Grading]] = []
    missing = []
    for part, kg, (low, high) in parts:
        if low and high and high > low:
            known.append((kg, grading(part, {high: 100.0, low: 0.0})))
        else:
            missing.append(part)
    said: list[Working] = []
    facts: list[tuple[str, str]] = []
    voids = None
    try:
        air = stone.voids_of_mix(
            blend.compacted_density, blend.kit.resin_kg, RESIN_DENSITY,
            [(blend.aggregate_kg, stone.STONE_DENSITY)],
        )  # fmt: skip
        voids = air.value
        facts.append(("voids when laid", f"{100 * voids:.1f} %"))
        said += air.workings
    except EngineError as error:
        missing.append(f"voids: {error.message}")
    if not known or len(missing) > (voids is None):
        return Stone(name, tuple(missing), tuple(facts), workings=tuple(said))
    return graded(name, blend, known, voids, Stone(name, tuple(missing), tuple(facts), (), "",
                                                   tuple(said)))  # fmt: skip


def graded(
    name: str,
    blend: cards.Blend,
    known: list[tuple[float, Grading]],
    voids: float | None,
    so_far: Stone,
) -> Stone:
    """Return the figures that need every part's sizes."""
    whole = combine_masses(known, name or "blend")
    factors, spheres = stone.surface_by_factors(whole), stone.surface_by_spheres(whole)
    film = stone.film_thickness(
        blend.kit.resin_kg, RESIN_DENSITY, spheres.value, blend.aggregate_kg
    )
    fineness = fineness_modulus(whole)
    facts = [
        *so_far.facts,
        ("fineness modulus", f"{fineness.modulus:.2f}"),
        ("surface, by spheres", f"{spheres.value:.2f} m²/kg"),
        ("surface, by tabulated factors", f"{factors.value:.2f} m²/kg"),
        ("resin film, on spheres", f"{film.value * 1e6:.0f} µm"),
    ]
    said = [*so_far.workings, *fineness.workings, *spheres.workings, *factors.workings,
            *film.workings]  # fmt: skip
    remark = ""
    flow = permeability_of(voids, spheres.value)
    if flow:
        facts.append(("permeability, at most", f"{flow.mm_per_hour:,.0f} mm/h"))
        said += flow.workings
        remark = flow.remark
    return Stone(name, so_far.missing, tuple(facts), whole.passing, remark, tuple(said))


def permeability_of(voids: float | None, surface: float) -> Permeability | None:
    """Return the permeability of laid stone, of the size of spheres with the same surface.

    None where its voids lie outside what the rule is for.
    """
    if voids is None:
        return None
    try:
        return kozeny_carman(voids, 6 / (stone.STONE_DENSITY * surface))
    except EngineError:
        return None
