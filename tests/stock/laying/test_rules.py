"""Readings, times, what a mix takes, and the sums of the evening."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.kernel.clock import LONDON
from quotes.engine import timing
from quotes.engine.cards import Kit
from stock.laying import rules
from stock.laying.rules import EveningRow, Readings, SiteLot, Wanted

psychrolib.SetUnitSystem(psychrolib.SI)
KIT = Kit(4.8, 2.2, 26 * 60, 10 * 3600, uv_stable=True, rain_safe_20_s=4 * 3600)


def readings(air: str, surface: str, humidity: str) -> Readings:
    return Readings(Decimal(air), Decimal(surface), Decimal(humidity))


def codes(air: str, surface: str, humidity: str, *kits: Kit) -> list[str]:
    return [each.code for each in rules.judge_base(readings(air, surface, humidity), kits).findings]


@pytest.mark.parametrize(
    ("air", "humidity"), [("10.0", "80.0"), ("18.5", "62.5"), ("24.0", "45.0"), ("5.0", "70.0")]
)
def test_the_dew_point_agrees_with_a_library_of_moist_air(air: str, humidity: str) -> None:
    found = rules.judge_base(readings(air, "15.0", humidity), [])
    # PsychroLib 2.5, ASHRAE Handbook Fundamentals (2017), chapter 1.
    expected = psychrolib.GetTDewPointFromRelHum(float(air), float(humidity) / 100)
    assert found.dew_c == pytest.approx(expected, abs=0.1)
    assert found.margin_c == pytest.approx(15.0 - expected, abs=0.1)


def test_a_margin_of_three_degrees_passes_and_a_tenth_less_does_not() -> None:
    # At 100 % the dew point is the air's own temperature (definition of the dew point), so the
    # margin is exact; only the humidity speaks against it then.
    assert codes("10.0", "13.0", "100") == ["air_too_damp"]
    assert codes("10.0", "12.9", "100") == ["surface_near_dew", "air_too_damp"]


def test_humidity_at_the_limit_is_too_damp() -> None:
    # ISO 8502-4 and common coating practice: below 85 %.
    assert codes("15.0", "25.0", "84.9") == []
    assert codes("15.0", "25.0", "85.0") == ["air_too_damp"]


def test_the_limits_of_the_kit_count_as_within() -> None:
    # The default limits are 0 to 40 °C, both inclusive.
    assert codes("20.0", "40.0", "50", KIT) == []
    assert codes("20.0", "40.1", "50", KIT) == ["temperature_limits"]
    assert codes("-0.1", "10.0", "50", KIT) == ["temperature_limits"]


@given(st.floats(-30, 60, allow_nan=False))
def test_a_margin_that_is_refused_never_reads_as_enough(margin: float) -> None:
    shown = float(rules.shown_margin(margin).replace("\N{MINUS SIGN}", "-"))
    assert (shown >= 3.0) == (margin >= 3.0 - 1e-9)
    assert abs(shown - margin) <= 0.1 + 1e-9


def test_the_sentence_and_the_figure_beside_it_say_the_same() -> None:
    found = rules.judge_base(readings("10.0", "12.9", "99.9"), [])
    said = next(each.message for each in found.findings if each.code == "surface_near_dew")
    assert rules.shown_margin(found.margin_c) == "2.9"
    assert "the surface is 2.9 °C above the dew point, and 3 °C are wanted" in said
    assert "It will do from a surface of 13.0 °C." in said


def test_the_last_mix_is_safe_by_the_time_that_rain_comes() -> None:
    # By the 10-degree rule at 20 °C: 4 h rain-safe and 26 min to place, as the kit prints them.
    times = timing.times(KIT, 20.0, 20.0)
    dry_until = datetime(2026, 5, 14, 19, 0, tzinfo=LONDON)
    last = rules.last_mix_by(dry_until, times)
    assert last == datetime(2026, 5, 14, 14, 34, tzinfo=LONDON)
    assert rules.safe_from(last, times) == dry_until
    assert rules.last_mix_by(dry_until, timing.times(KIT, 50.0)) is None


def test_times_are_real_over_the_clock_change() -> None:
    # 29 March 2026, 01:00 UTC: British Summer Time begins (Summer Time Order 2002).
    start = datetime(2026, 3, 29, 0, 30, tzinfo=LONDON)
    assert f"{rules.after(start, 3600):%H:%M}" == "02:30"


# -- what a mix takes --------------------------------------------------------------------------

KITS, STONE = 1, 2


def test_a_mix_draws_first_expired_first_and_held_last() -> None:
    day = date(2026, 5, 14)
    lots = [
        SiteLot(1, KITS, 2, day + timedelta(days=60)),
        SiteLot(2, KITS, 1, day + timedelta(days=20)),
        SiteLot(3, KITS, 5, day + timedelta(days=5), held=True),
        SiteLot(4, STONE, 100, None, day),
        SiteLot(5, STONE, 30, None, day - timedelta(days=9)),
    ]
    drawn = rules.draw_lots([Wanted(KITS, 2), Wanted(STONE, 40)], lots)
    assert drawn.parts == ((1, 1), (2, 1), (4, 10), (5, 30))


def test_a_mix_takes_all_or_nothing() -> None:
    drawn = rules.draw_lots([Wanted(KITS, 1), Wanted(STONE, 40)], [SiteLot(1, KITS, 1)])
    assert (drawn.parts, dict(drawn.missing)) == ((), {STONE: 40})


def test_a_stand_in_comes_after_the_item_and_never_takes_what_the_mix_wants_of_it() -> None:
    pale = 3
    there = [SiteLot(1, STONE, 30), SiteLot(2, pale, 30)]
    one = Wanted(STONE, 40, (pale,))
    assert rules.draw_lots([one], there).parts == ((1, 30), (2, 10))
    # Of the 30 of the pale stone the mix wants 20 or 21 itself: 10 are left, then only 9.
    assert rules.draw_lots([one, Wanted(pale, 20)], there).parts == ((1, 30), (2, 30))
    short = rules.draw_lots([one, Wanted(pale, 21)], there)
    assert (short.parts, dict(short.missing)) == ((), {STONE: 1})


@given(
    st.lists(st.tuples(st.integers(1, 3), st.integers(0, 50)), max_size=8),
    st.lists(st.tuples(st.integers(1, 3), st.integers(1, 60)), min_size=1, max_size=4),
)
def test_what_is_drawn_is_what_is_wanted_and_never_more_than_there_is(
    there: list[tuple[int, int]], wanted: list[tuple[int, int]]
) -> None:
    lots = [SiteLot(pk, item, quantity) for pk, (item, quantity) in enumerate(there)]
    needs = [Wanted(item, quantity) for item, quantity in wanted]
    drawn = rules.draw_lots(needs, lots)
    by_pk = {lot.lot_id: lot for lot in lots}
    for item in {need.item_id for need in needs}:
        asked = sum(need.quantity for need in needs if need.item_id == item)
        stock = sum(lot.quantity for lot in lots if lot.item_id == item)
        given_out = sum(part for pk, part in drawn.parts if by_pk[pk].item_id == item)
        if drawn.missing:
            assert given_out == 0
            assert drawn.missing.get(item, 0) == max(asked - stock, 0)
        else:
            assert given_out == asked
    assert all(0 < part <= by_pk[pk].quantity for pk, part in drawn.parts)


def test_parts_of_a_bag_are_whole_grams() -> None:
    assert rules.whole_units(Decimal("0.25"), 20_000) == 5_000
    assert rules.whole_units(Decimal("0.33"), 25) == 8


def test_a_blend_fits_what_the_job_requires_of_its_colour() -> None:
    buff, silver, sand = 11, 12, 13
    cards = {1: (KITS, frozenset({buff, sand})), 2: (KITS, frozenset({silver, sand}))}
    needs = [(KITS, ""), (sand, ""), (buff, "buff"), (silver, "silver")]
    assert rules.fitting(cards, needs, "buff") == [1]
    assert rules.fitting(cards, needs, "silver") == [2]
    assert rules.fitting(cards, needs, "") == [1, 2]
    assert rules.fitting(cards, needs[:3], "") == [1]


def test_bays_are_lettered() -> None:
    assert rules.next_bay_name([]) == "A"
    assert rules.next_bay_name(["a", "C"]) == "B"
    assert rules.next_bay_name("ABCDEFGHIJKLMNOPQRSTUVWXYZ") == "AA"


def test_the_mass_on_a_square_metre() -> None:
    # 6 mixes of 112 kg on 19.6 m² by hand: 672 / 19.6 = 34.29.
    assert rules.kg_per_m2(6 * 112_000, Decimal("19.6")) == Decimal("34.3")
    assert rules.kg_per_m2(112_000, None) is None


@given(st.lists(st.integers(0, 10_000), min_size=6, max_size=6))
def test_what_is_left_is_accounted_for_to_the_gram(parts: list[int]) -> None:
    back, opened, waste, used, stays, rest = parts
    row = EveningRow(1, back, opened, waste, used, stays, "spoilt")
    assert rules.unexplained(sum(parts), row) == rest
