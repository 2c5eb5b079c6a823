"""Figures of a blend beyond its card: surface of the stone, film, voids, bulk density.

Masses in kg, lengths in m, densities in kg/m3, surfaces in m2/kg, shares without unit.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from quotes.engine.errors import BlendError
from quotes.engine.grading import Grading, passing_at
from quotes.engine.guards import between, not_negative, positive
from quotes.engine.workings import Working

STONE_DENSITY = 2650.0
# m2/kg for each % passing (UFC 3-250-03, table C-1), sieve in mm.
SURFACE_FACTORS = (
    (9.5, 0.00409),
    (4.75, 0.00409),
    (2.36, 0.00819),
    (1.18, 0.01639),
    (0.6, 0.02867),
    (0.3, 0.06144),
    (0.15, 0.12289),
    (0.075, 0.32771),
)


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure with its workings; its unit is said by the function that made it."""

    value: float
    workings: tuple[Working, ...]


def surface_by_factors(grading: Grading, density: float = STONE_DENSITY) -> Figure:
    """Specific surface (m2/kg) by the tabulated factors: sum of factor x % passing.

    Corrected for density by 2650 / density. It gives 0.41 for everything above 4.75 mm, so that
    clean stone of one size is better served by spheres. Errors: BlendError where the sheet does
    not tell a sieve. Source: UFC 3-250-03, table C-1.
    """
    rows = [
        (f"{sieve:g} mm", factor, passing_at(grading, sieve)) for sieve, factor in SURFACE_FACTORS
    ]
    total = math.fsum(factor * passing for _, factor, passing in rows)
    corrected = total * STONE_DENSITY / between(density, "stone density", 1000.0, 5000.0)
    said = Working(
        "specific surface by tabulated factors",
        "sum of factor x % passing, x 2650 / density",
        (
            *((name, f"{passing:.1f} % x {factor:g}") for name, factor, passing in rows),
            ("density", f"{density:g} kg/m³"),
        ),
        f"{corrected:.3f} m²/kg",
        "UFC 3-250-03, table C-1",
    )
    return Figure(corrected, (said,))


def sphere_surface(diameter: float, density: float = STONE_DENSITY) -> float:
    """Surface (m2/kg) of spheres of one diameter (m): 6 / (density x diameter).

    Errors: ModelError for values that are not positive. Source: geometry.
    """
    return 6 / (positive(density, "stone density", "kg/m3") * positive(diameter, "diameter", "m"))


def surface_by_spheres(
    grading: Grading, density: float = STONE_DENSITY, finest: float | None = None
) -> Figure:
    """Specific surface (m2/kg) by spheres: what lies between two sieves at their middle size.

    The middle is the geometric one. finest: size (mm) that whatever passes the finest sieve
    goes down to; needed only if something does. Real grains have more surface than spheres.
    Errors: BlendError when the coarsest sieve does not pass all, or `finest` is wanted.
    """
    rows = list(grading.passing)
    if rows[0][1] < 100 - 1e-9:
        raise BlendError(
            "unknown_sieve",
            grading.name,
            f"only {rows[0][1]:g} % pass the coarsest sieve; accepted: one that all passes",
        )
    if rows[-1][1] > 1e-9:
        if finest is None or not 0 < finest < rows[-1][0]:
            raise BlendError(
                "unknown_sieve",
                grading.name,
                f"{rows[-1][1]:g} % pass the finest sieve; accepted: a finest size below it",
            )
        rows.append((finest, 0.0))
    parts = [
        ((more - less) / 100, math.sqrt(coarse * fine))
        for (coarse, more), (fine, less) in pairwise(rows)
    ]
    total = math.fsum(share * sphere_surface(size / 1000, density) for share, size in parts)
    said = Working(
        "specific surface by spheres",
        "sum of share x 6 / (density x middle size)",
        tuple((f"{size:.2f} mm", f"{100 * share:.1f} %") for share, size in parts if share),
        f"{total:.3f} m²/kg",
        "geometry of spheres",
    )
    return Figure(total, (said,))


def film_thickness(resin: float, resin_density: float, surface: float, aggregate: float) -> Figure:
    """Thickness (m) of the resin's film: volume of resin / (surface x mass of aggregate).

    resin, aggregate: kg; resin_density: kg/m3; surface: m2/kg. As if all resin lay evenly on
    spheres: a rough guide for comparing blends, not a thing that can be measured. Errors:
    ModelError for values that are not positive. Source: definition of asphalt film thickness.
    """
    volume = positive(resin, "resin", "kg") / positive(resin_density, "resin density", "kg/m3")
    wetted = positive(surface, "surface", "m2/kg") * positive(aggregate, "aggregate", "kg")
    said = Working(
        "film thickness",
        "volume of resin / (specific surface x mass of aggregate)",
        (
            ("resin", f"{resin:g} kg of {resin_density:g} kg/m³"),
            ("surface", f"{surface:.3f} m²/kg"),
            ("aggregate", f"{aggregate:g} kg"),
        ),
        f"{volume / wetted * 1e6:.1f} µm",
        "definition; a rough guide only",
    )
    return Figure(volume / wetted, (said,))


def binder_for_film(
    thickness: float, surface: float, binder_density: float, absorbed: float = 0.0
) -> float:
    """Binder as a share of dry aggregate for a film (m): surface x film x density + absorbed.

    surface: m2/kg; binder_density: kg/m3; absorbed: share. Source: UFC 3-250-03, equation E-3,
    whose metric constant follows from the units.
    """
    film = positive(thickness, "film", "m") * positive(surface, "surface", "m2/kg")
    return film * positive(binder_density, "density", "kg/m3") + between(absorbed, "absorbed", 0, 1)


def voids_of_mix(
    density: float,
    resin: float,
    resin_density: float,
    aggregates: Sequence[tuple[float, float]],
) -> Figure:
    """Air voids (share) of the laid mix: 1 - compacted density / solid density.

    density: kg/m3 of the laid whole mix; resin: kg; aggregates: (kg, kg/m3 of the grains).
    Errors: BlendError when the mix would be denser than its solids; ModelError for values that
    are not positive.
    """
    solid_volume = positive(resin, "resin", "kg") / positive(resin_density, "resin density")
    solid_volume += math.fsum(
        positive(mass, "aggregate", "kg") / positive(rho, "stone density", "kg/m3")
        for mass, rho in aggregates
    )
    mass = resin + math.fsum(mass for mass, _ in aggregates)
    solid = mass / solid_volume
    voids = 1 - positive(density, "compacted density", "kg/m3") / solid
    if voids < 0:
        raise BlendError(
            "too_dense",
            "compacted density",
            f"{density:.0f} kg/m³ is denser than its solids; accepted: below {solid:.0f} kg/m³",
        )
    said = Working(
        "voids",
        "1 - compacted density / (mass / volume of the solids)",
        (("compacted", f"{density:.0f} kg/m³"), ("solids", f"{solid:.0f} kg/m³")),
        f"{100 * voids:.1f} %",
        "definition",
    )
    return Figure(voids, (said,))


def bulk_density(gross: float, tare: float, volume: float) -> float:
    """Bulk density (kg/m3) of dry aggregate in a measure: (gross - tare) / volume.

    gross, tare: kg; volume: m3. Errors: ModelError for a gross not above the tare.
    Source: ASTM C29 / AASHTO T 19.
    """
    net = positive(gross - not_negative(tare, "tare", "kg"), "net mass", "kg")
    return net / positive(volume, "volume", "m3")


def bulk_voids(bulk: float, gravity: float, water: float = 998.0) -> float:
    """Voids (share) between the grains of dry aggregate: (S W - M) / (S W).

    bulk: M, kg/m3; gravity: S, relative density of the grains; water: W, kg/m3. Errors:
    BlendError when the bulk is denser than the grains. Source: ASTM C29 (formula from memory).
    """
    grains = positive(gravity, "relative density") * positive(water, "water density", "kg/m3")
    voids = 1 - positive(bulk, "bulk density", "kg/m3") / grains
    if voids < 0:
        raise BlendError(
            "too_dense", "bulk density", f"{bulk:g} kg/m³ is denser than its grains ({grains:.0f})"
        )
    return voids


# ASTM C29 / AASHTO T 19: largest size (mm) and the least measure (m3) for it.
_MEASURES = ((12.5, 0.0028), (25.0, 0.0093), (37.5, 0.014), (75.0, 0.028))


def least_measure(largest: float) -> float:
    """The least volume (m3) of the measure for a largest size (mm).

    Errors: BlendError above 75 mm. Source: AASHTO T 19-14 / ASTM C29.
    """
    size = positive(largest, "largest size", "mm")
    for upto, volume in _MEASURES:
        if size <= upto * (1 + 1e-9):
            return volume
    raise BlendError("too_coarse", "largest size", f"{size:g} mm is too coarse; accepted: 75 mm")
