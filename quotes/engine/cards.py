"""Blend cards: one resin kit with its bags, and what follows from them.

Masses in kg, lengths in m, times in s, temperatures in °C. The compacted density is the mass of
the laid, compacted whole mix (stone, fillers and resin) per volume; the yield is the area of one
whole mix at its depth on a flat base, no texture and no waste.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from quotes.engine.errors import BlendError
from quotes.engine.units import Q_, Quantity
from quotes.engine.workings import COMMON_PRACTICE, Working, figure

AGREE = 0.01  # yield and density given together must agree within 1 %


@dataclass(frozen=True)
class Kit:
    """A two-part resin kit. Times are at 20 °C; None where the kit prints none.

    table: the maker's (°C, working s, cure s), which wins over any rule; limits: (low, high) in
    °C, inclusive, None for the default; season: the maker's grade, for reading only.
    """

    part_a_kg: float
    part_b_kg: float
    working_20_s: float
    cure_20_s: float
    uv_stable: bool
    rain_safe_20_s: float | None = None
    foot_20_s: float | None = None
    vehicle_20_s: float | None = None
    table: tuple[tuple[float, float, float], ...] = ()
    limits: tuple[float, float] | None = None
    season: str = ""

    @property
    def resin_kg(self) -> float:
        """Both parts together."""
        return self.part_a_kg + self.part_b_kg


@dataclass(frozen=True, slots=True)
class Component:
    """An aggregate or filler: its bag, how many bags (or parts of one) a mix takes.

    substitutes: names that may stand in for it.
    """

    name: str
    bag_kg: float
    bags: float
    max_size_m: float | None = None
    substitutes: tuple[str, ...] = ()

    @property
    def kg(self) -> float:
        """What one mix takes of it."""
        return self.bag_kg * self.bags


@dataclass(frozen=True)
class Blend:
    """A kit and its components, and the density of the laid mix in kg/m³.

    yield_area_m2 and yield_depth_m are what the card prints, None where it prints a density.
    """

    kit: Kit
    components: tuple[Component, ...]
    compacted_density: float
    yield_area_m2: float | None = None
    yield_depth_m: float | None = None
    workings: tuple[Working, ...] = ()

    @cached_property
    def aggregate_kg(self) -> float:
        """Stone and fillers of one mix."""
        return math.fsum(each.kg for each in self.components)

    @cached_property
    def mix_kg(self) -> float:
        """One whole mix, resin and all."""
        return math.fsum(
            [self.kit.part_a_kg, self.kit.part_b_kg, *(each.kg for each in self.components)]
        )

    @property
    def resin_percent(self) -> float:
        """Resin as a percentage of the aggregate's mass."""
        return 100 * self.kit.resin_kg / self.aggregate_kg

    @property
    def largest_m(self) -> float | None:
        """The largest stone size that the card gives, m."""
        return max((c.max_size_m for c in self.components if c.max_size_m), default=None)

    @property
    def density(self) -> Quantity:
        """The compacted density as a quantity."""
        return Q_(self.compacted_density, "kg/m**3")

    def yield_m2(self, depth_m: float, texture_m: float = 0.0) -> float:
        """Area in m² that one whole mix covers at a depth, on a base that swallows texture_m."""
        return self.mix_kg / (self.compacted_density * (depth_m + texture_m))


def make_blend(
    kit: Kit,
    components: Sequence[Component],
    where: str,
    *,
    density: float | None = None,
    yield_m2_m: tuple[float, float] | None = None,
) -> Blend:
    """A blend from its card: a density in kg/m³, a yield (m², depth in m), or both.

    Given both they must agree within 1 %, and the density is used. Raises BlendError.
    """
    if not components:
        raise BlendError("empty", where, "a blend needs one aggregate or more")
    mix = Blend(kit, tuple(components), 1.0).mix_kg
    printed = None if yield_m2_m is None else mix / (yield_m2_m[0] * yield_m2_m[1])
    if density is None and printed is None:
        raise BlendError(
            "missing_key", where, "give 'yield' (area and depth) or 'compacted_density', or both"
        )
    if density is not None and printed is not None and not _agree(printed, density):
        raise BlendError(
            "yield_disagrees",
            where,
            f"the yield makes {figure(printed, 'kg/m³', 1)} of a mix of {figure(mix, 'kg')}, the "
            f"compacted density says {figure(density, 'kg/m³', 1)}; they must agree within 1 %",
        )
    used = density if density is not None else printed
    assert used is not None  # noqa: S101  one of the two was given
    if not 100 <= used <= 25_000:
        raise BlendError(
            "out_of_range",
            where,
            f"the card makes a compacted density of {used:g} kg/m³, which no stone has; check the "
            "masses, the yield and its depth",
        )
    area, depth = yield_m2_m or (None, None)
    blend = Blend(kit, tuple(components), used, area, depth)
    return replace(blend, workings=_workings(blend))


def _agree(printed: float, density: float) -> bool:
    return abs(printed / density - 1) <= AGREE * (1 + 1e-9)


def _workings(blend: Blend) -> tuple[Working, ...]:
    kit = blend.kit
    parts = (("part A", figure(kit.part_a_kg, "kg")), ("part B", figure(kit.part_b_kg, "kg")))
    each = tuple((c.name, f"{figure(c.bags)} × {figure(c.bag_kg, 'kg')}") for c in blend.components)
    density = figure(blend.compacted_density, "kg/m³", 1)
    if blend.yield_area_m2 is None or blend.yield_depth_m is None:
        laid = Working("compacted density", "as the card gives it", (), density, "blend card")
    else:
        laid = Working(
            "compacted density",
            "mass of a mix / (yield × its depth); where the card gives a density too, that one",
            (
                ("mass of a mix", figure(blend.mix_kg, "kg")),
                ("yield", figure(blend.yield_area_m2, "m²")),
                ("depth", figure(1000 * blend.yield_depth_m, "mm")),
            ),
            density,
            "blend card",
        )
    return (
        Working(
            "mass of a mix",
            "both parts of the kit and all bags",
            (*parts, *each),
            figure(blend.mix_kg, "kg"),
            "blend card",
        ),
        Working(
            "resin share",
            "100 × both parts / aggregate",
            (
                ("resin", figure(kit.resin_kg, "kg")),
                ("aggregate", figure(blend.aggregate_kg, "kg")),
            ),
            figure(blend.resin_percent, "% of aggregate"),
            COMMON_PRACTICE,
        ),
        laid,
    )


def with_substitute(blend: Blend, name: str, substitute: Component, where: str) -> Blend:
    """The blend with one component replaced, mass for mass, by one that its card allows.

    The density stays as it was: whoever knows better gives a card of its own. Raises BlendError
    for a component that is not in the blend or a substitute that its card does not allow.
    """
    places = [k for k, each in enumerate(blend.components) if each.name == name]
    if not places:
        raise BlendError("unknown_component", where, f"the blend has no component '{name}'")
    place = places[0]
    component = blend.components[place]
    if substitute.name not in component.substitutes:
        allowed = ", ".join(component.substitutes) or "none"
        raise BlendError(
            "not_allowed",
            where,
            f"'{substitute.name}' may not stand in for '{name}'; allowed: {allowed}",
        )
    standing_in = replace(substitute, bags=component.kg / substitute.bag_kg)
    parts = (*blend.components[:place], standing_in, *blend.components[place + 1 :])
    changed = replace(blend, components=parts)
    return replace(changed, workings=_workings(changed))
