"""Facts of the trade as check values: common practice, no source."""

import pytest

from quotes.engine import timing
from quotes.engine.cards import Component, Kit, make_blend
from quotes.engine.cautions import registered
from quotes.engine.cautions_site import work_cautions
from quotes.engine.takeoff_cautions import LEAST_DEPTH_M
from tests.outside.sources import NO_SOURCE, fact

MINUTE, HOUR = 60.0, 3600.0
KIT = Kit(5.0, 2.5, 30 * MINUTE, 8 * HOUR, uv_stable=True)
STONES = (
    Component("stone 2-5 mm", 25, 3),
    Component("stone 1-3 mm", 25, 1),
    Component("sand", 6.25, 1),
)
CARD = make_blend(KIT, STONES, "blend", yield_m2_m=(3.55, 0.018))


@fact(rows=2, source=NO_SOURCE, mark="common practice")
def test_what_a_kit_of_seven_and_a_half_kilos_goes_to():
    """7.5 kg to 75 kg of 2-5 mm, 25 kg of 1-3 mm and 6.25 kg of sand: 106.25 kg, 7.06 % resin."""
    # Common practice, no source; it is stated as 7.05 %, which is 7.0588 cut off.
    assert CARD.aggregate_kg == pytest.approx(106.25)
    assert CARD.resin_percent == pytest.approx(7.06, abs=5e-3)
    assert CARD.mix_kg == pytest.approx(113.75)


@fact(rows=2, source=NO_SOURCE, mark="common practice")
def test_what_a_mix_covers():
    """About 3.55 m² at 18 mm, and about 4 m² at 15 mm, rounded down."""
    # Common practice, no source.
    assert CARD.yield_m2(0.018) == pytest.approx(3.55)
    assert int(CARD.yield_m2(0.015)) == 4
    assert 1700 < CARD.compacted_density < 1850


@fact(rows=2, source=NO_SOURCE, mark="common practice")
def test_least_depths():
    """At least 18 mm for a drive and 15 mm for a footpath."""
    # Common practice, no source.
    assert LEAST_DEPTH_M["vehicles"] == 0.018
    assert LEAST_DEPTH_M["pedestrian"] == 0.015


@fact(rows=3, source=NO_SOURCE, mark="common practice")
def test_times_at_twenty_degrees():
    """About 30 min working time, 8 h to cure, and no feet for 24 h."""
    # Common practice, no source.
    found = timing.times(KIT, 20)
    assert found.working_minutes == pytest.approx(30)
    assert found.cure_hours == pytest.approx(8)
    assert found.foot_hours == pytest.approx(24)


@fact(rows=1, source=NO_SOURCE, mark="common practice")
@pytest.mark.parametrize(("degc", "minutes", "hours"), [(10, 60, 16), (30, 15, 4), (40, 7.5, 2)])
def test_every_ten_degrees_warmer_halve_the_time(degc, minutes, hours):
    """Every 10 °C warmer halves working time and cure."""
    # Common practice, no source.
    found = timing.times(KIT, degc)
    assert found.working_minutes == pytest.approx(minutes)
    assert found.cure_hours == pytest.approx(hours)


@fact(rows=2, source=NO_SOURCE, mark="common practice")
def test_the_whole_of_the_hardener_and_sixty_seconds():
    """The whole of the hardener or it will not cure; mix at least 60 s."""
    # Common practice, no source.
    said = {c.code: c for c in work_cautions(cutting=False, resin=True, dry_fillers=False)}
    assert "whole of the hardener" in said["whole_hardener"].message
    assert "at least 60 s" in said["whole_hardener"].message
    (kind,) = [kind for kind in registered() if kind.code == "whole_hardener"]
    assert kind.source == NO_SOURCE
