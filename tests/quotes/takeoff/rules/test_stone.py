"""Figures of a blend's stone, by hand, and what is left out where a size is not known."""

from __future__ import annotations

import math

import pytest

from quotes.engine.cards import Component, Kit, make_blend
from quotes.takeoff.rules.stone import permeability_of, stone_of

KIT = Kit(4.8, 2.2, 1560, 36_000, True)
BLEND = make_blend(
    KIT, [Component("stone", 20, 4), Component("grit", 20, 1)], "blend", density=1700.0
)


def test_figures_by_hand() -> None:
    found = stone_of("buff", BLEND, [("stone", 80, (2.0, 5.0)), ("grit", 20, (1.0, 2.0))])
    facts = dict(found.facts)

    # 7 kg of resin at 1,100 and 100 kg of stone at 2,650: solids of 107 / 0.044099 = 2426 kg/m³
    solid = 107 / (7 / 1100 + 100 / 2650)
    assert facts["voids when laid"] == f"{100 * (1 - 1700 / solid):.1f} %"
    # spheres of the middle size: 80 % at root(2 x 5) mm, 20 % at root(1 x 2) mm
    surface = 0.8 * 6 / (2650 * math.sqrt(10) / 1000) + 0.2 * 6 / (2650 * math.sqrt(2) / 1000)
    assert facts["surface, by spheres"] == f"{surface:.2f} m²/kg"
    film = 7 / 1100 / (surface * 100) * 1e6
    assert facts["resin film, on spheres"] == f"{film:.0f} µm"
    assert [sieve for sieve, _ in found.passing] == [5.0, 2.0, 1.0]
    assert [passing for _, passing in found.passing] == pytest.approx([100, 20, 0])
    assert "permeability, at most" in facts
    assert found.remark.startswith("flow is not laminar")


def test_a_filler_without_sizes_leaves_the_surface_out_and_is_named() -> None:
    found = stone_of("buff", BLEND, [("stone", 80, (2.0, 5.0)), ("grit", 20, (None, None))])

    assert found.missing == ("grit",)
    assert [word for word, _ in found.facts] == ["voids when laid"]


def test_a_mix_denser_than_its_solids_is_said() -> None:
    heavy = make_blend(KIT, [Component("stone", 20, 5)], "blend", density=2600.0)

    found = stone_of("buff", heavy, [("stone", 100, (2.0, 5.0))])

    assert "denser than its solids" in found.missing[0]
    assert "surface, by spheres" in dict(found.facts)
    assert "permeability, at most" not in dict(found.facts)


def test_permeability_outside_its_range_is_left_out() -> None:
    assert permeability_of(0.01, 0.5) is None
    assert permeability_of(None, 0.5) is None
