from dataclasses import replace

import pytest

from quotes.engine.cards import Component, with_substitute
from quotes.engine.errors import EngineError
from quotes.engine.parse import parse_blend

from . import samples


def test_the_designs_card() -> None:
    card = parse_blend(samples.blend(), "blend")
    assert card.mix_kg == 112.0
    assert card.aggregate_kg == 105.0
    assert card.resin_percent == pytest.approx(100 * 7 / 105)
    assert card.compacted_density == pytest.approx(112 / (3.15 * 0.020))
    assert card.yield_m2(0.020) == pytest.approx(3.15)
    assert card.yield_m2(0.020, 0.001) == pytest.approx(3.0)
    assert card.largest_m == pytest.approx(0.0063)
    assert card.density.to("t/m**3").magnitude == pytest.approx(card.compacted_density / 1000)


@pytest.mark.parametrize(
    ("density", "agrees"), [(1.0, True), (1.0099, True), (0.99, False), (1.0102, False)]
)
def test_yield_and_density_must_agree_within_one_percent(density: float, agrees: bool) -> None:
    printed = 112 / (3.15 * 0.020)
    given = samples.blend(compacted_density=f"{printed * density} kg/m^3")
    if agrees:
        assert parse_blend(given, "b").compacted_density == pytest.approx(printed * density)
        return
    with pytest.raises(EngineError) as refused:
        parse_blend(given, "b")
    assert refused.value.code == "yield_disagrees"


def test_a_card_needs_a_yield_or_a_density() -> None:
    card = samples.blend()
    del card["yield"]
    with pytest.raises(EngineError) as refused:
        parse_blend(card, "blend")
    assert (refused.value.code, refused.value.where) == ("missing_key", "blend")


def test_a_substitute_stands_in_mass_for_mass() -> None:
    card = parse_blend(samples.blend(), "blend")
    first = replace(card.components[0], substitutes=("other stone",))
    card = replace(card, components=(first, *card.components[1:]))
    other = Component("other stone", 25.0, 1.0)
    changed = with_substitute(card, "stone 2-6 mm", other, "s")
    assert changed.components[0].bags == pytest.approx(80 / 25)
    assert changed.mix_kg == pytest.approx(card.mix_kg)
    with pytest.raises(EngineError):
        with_substitute(card, "fine sand", other, "s")
    with pytest.raises(EngineError):
        with_substitute(card, "gravel", other, "s")
