import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine import temperature as subject
from quotes.engine.errors import EngineError, ModelError

temperatures = st.floats(-20, 60)
kits = st.lists(
    st.tuples(st.integers(-5, 40), st.integers(300, 90_000)),
    min_size=1,
    max_size=5,
    unique_by=lambda row: row[0],
).map(
    lambda rows: list(
        zip(sorted(r[0] for r in rows), sorted((r[1] for r in rows), reverse=True), strict=True)
    )
)
TABLE = [(10.0, 3600.0), (20.0, 1800.0), (30.0, 1200.0)]


@given(
    cool=temperatures,
    warmer=st.floats(0, 30),
    rows=kits,
    rule=st.sampled_from(["doubling", "arrhenius"]),
)
def test_warmer_is_never_longer(cool, warmer, rows, rule):
    law = subject.table_law(rows, rule=rule, limits=(-20, 100))
    assert subject.raw_time(law, cool + warmer) <= subject.raw_time(law, cool) * (1 + 1e-12)


@given(rows=kits, rule=st.sampled_from(["doubling", "arrhenius"]))
def test_the_table_wins_at_its_own_rows(rows, rule):
    law = subject.table_law(rows, rule=rule)
    for at, seconds in rows:
        assert subject.time_at(law, at).seconds == pytest.approx(seconds, rel=1e-12)


def test_between_rows_the_log_of_the_time_runs_straight():
    law = subject.table_law(TABLE)
    assert subject.raw_time(law, 15) == pytest.approx(math.sqrt(3600 * 1800))
    assert subject.raw_time(law, 25) == pytest.approx(math.sqrt(1800 * 1200))


def test_beyond_its_ends_the_rule_carries_the_table_five_degrees():
    law = subject.table_law(TABLE)
    assert subject.time_at(law, 5).seconds == pytest.approx(3600 * math.sqrt(2))
    assert subject.time_at(law, 35).seconds == pytest.approx(1200 / math.sqrt(2))
    assert subject.time_at(law, 4.9).seconds is None
    assert subject.time_at(law, 35.1).seconds is None


def test_a_printed_time_holds_from_nought_to_forty_inclusive():
    law = subject.printed_law(1560)
    assert subject.time_at(law, 0).seconds == pytest.approx(6240)
    assert subject.time_at(law, 40).seconds == pytest.approx(390)
    assert subject.time_at(law, -0.1).seconds is None
    assert "outside the limits" in subject.time_at(law, 40.1).workings[0].formula


def test_warmth_never_shortens_a_time_with_a_floor():
    law = subject.printed_law(86_400, floor=True)
    assert subject.time_at(law, 30).seconds == 86_400
    assert subject.time_at(law, 10).seconds == pytest.approx(172_800)
    assert "never shortens" in subject.time_at(law, 30).workings[0].formula


def test_a_scaled_law_keeps_the_course_of_its_table():
    law = subject.scaled_law(subject.table_law(TABLE), 36_000, floor=False)
    assert subject.raw_time(law, 20) == pytest.approx(36_000)
    assert subject.raw_time(law, 10) == pytest.approx(72_000)
    assert subject.raw_time(law, 30) == pytest.approx(24_000)


def test_a_factor_of_one_makes_temperature_no_matter():
    assert subject.doubling_time(600, 20, 5, factor=1) == 600


@given(at=temperatures)
def test_the_doubling_energy_doubles_between_its_two_temperatures(at):
    energy = subject.doubling_energy(at, at + 10)
    rate = subject.arrhenius_rate(at + 10, at, energy)
    assert rate == pytest.approx(2, rel=1e-9)


@pytest.mark.parametrize(
    ("call", "code", "where"),
    [
        (lambda: subject.table_law([]), "empty", "table"),
        (lambda: subject.table_law([(10, 60), (10, 50)]), "given_twice", "table"),
        (lambda: subject.table_law([(10, 60), (20, 70)]), "rising_time", "table"),
        (lambda: subject.printed_law(0), "not_positive", "printed time"),
        (lambda: subject.printed_law(float("nan")), "not_a_number", "printed time"),
        (lambda: subject.printed_law(60, limits=(40, 0)), "bad_order", "limits"),
        (lambda: subject.printed_law(60, factor=0.5), "out_of_range", "factor"),
        (lambda: subject.printed_law(60, rule="guess"), "unknown_rule", "rule"),
        (lambda: subject.doubling_time(60, 20, 1e308), "out_of_range", "temperature"),
        (lambda: subject.doubling_time(60, 20, True), "not_a_number", "temperature"),
        (lambda: subject.doubling_energy(20, 10), "bad_order", "high"),
    ],
)
def test_what_cannot_be_is_refused(call, code, where):
    with pytest.raises(ModelError) as refused:
        call()
    assert (refused.value.code, refused.value.where) == (code, where)
    assert "accepted" in refused.value.message
    assert isinstance(refused.value, EngineError)


def test_the_hotter_counts_for_working_and_the_cooler_for_cure():
    assert subject.working_temperature(12, 25) == 25
    assert subject.cure_temperature(12, 25) == 12
    assert subject.working_temperature(12) == subject.cure_temperature(12) == 12


def test_ten_degrees_warmer_take_the_time_over_the_factor():
    assert subject.doubling_time(1560, 20, 30) == pytest.approx(780)
    assert subject.doubling_time(1560, 20, 10, factor=3) == pytest.approx(4680)
