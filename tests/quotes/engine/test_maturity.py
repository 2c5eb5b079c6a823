from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from quotes.engine import maturity as subject
from quotes.engine.errors import ModelError
from quotes.engine.profile import profile_of
from quotes.engine.temperature import printed_law, raw_time, table_law

HOUR = 3600.0
days = st.lists(st.floats(1, 39), min_size=2, max_size=30)
laws = st.sampled_from(
    [
        printed_law(8 * HOUR),
        printed_law(24 * HOUR, floor=True),
        printed_law(8 * HOUR, rule="arrhenius"),
        table_law([(5, 12 * HOUR), (15, 7 * HOUR), (25, 4 * HOUR)], limits=(0, 40)),
    ]
)


def hourly(degc):
    return profile_of([(HOUR * n, value) for n, value in enumerate(degc)])


def test_at_a_steady_reference_temperature_the_age_is_the_time_that_passed():
    assert subject.equivalent_age(hourly([20] * 11), 0, 10 * HOUR) == pytest.approx(10 * HOUR)


@given(degc=days, first=st.floats(0, 1), second=st.floats(0, 1))
def test_equivalent_age_adds_up_over_a_split(degc, first, second):
    profile = hourly(degc)
    cut, end = sorted((first * profile.length, second * profile.length))
    whole = subject.equivalent_age(profile, 0, end)
    parts = subject.equivalent_age(profile, 0, cut) + subject.equivalent_age(profile, cut, end)
    assert parts == pytest.approx(whole, rel=1e-9, abs=1e-6)


@given(degc=days, warmer=st.floats(0, 10))
def test_a_warmer_day_is_an_older_day(degc, warmer):
    cool, warm = hourly(degc), hourly([value + warmer for value in degc])
    older = subject.equivalent_age(warm, 0, warm.length)
    assert older >= subject.equivalent_age(cool, 0, cool.length) * (1 - 1e-12)


@given(degc=days, law=laws)
def test_the_share_used_agrees_with_quadrature(degc, law):
    profile = hourly(degc)
    # scipy.integrate.quad on the same straight pieces, told where the law bends.
    expected = 0.0
    for n, (v0, v1) in enumerate(pairwise(degc)):
        kinks = [
            HOUR * (n + (k - v0) / (v1 - v0))
            for k in (5, 15, 20, 25)
            if min(v0, v1) < k < max(v0, v1)
        ]
        expected += quad(
            lambda t, n=n, v0=v0, v1=v1: 1 / raw_time(law, v0 + (v1 - v0) * (t / HOUR - n)),
            n * HOUR,
            (n + 1) * HOUR,
            points=kinks or None,
        )[0]
    assert subject.used_share(law, profile, 0, profile.length) == pytest.approx(expected, rel=1e-6)


@given(degc=days, law=laws, begin=st.floats(0, 1))
def test_a_stage_is_reached_when_its_share_is_one(degc, law, begin):
    profile = hourly(degc)
    start = begin * profile.length
    ready = subject.ready_at(law, profile, start)
    if ready.seconds is None:
        assert ready.reason == "profile_ends"
        assert subject.used_share(law, profile, start, profile.length) < 1
    else:
        assert subject.used_share(law, profile, start, ready.seconds) == pytest.approx(1, abs=1e-8)


@given(degc=days, law=laws)
def test_the_latest_beginning_is_the_inverse_of_the_readiness(degc, law):
    profile = hourly(degc)
    latest = subject.latest_begin(law, profile, profile.length)
    if latest is None:
        assert subject.used_share(law, profile, 0, profile.length) < 1
    else:
        ready = subject.ready_at(law, profile, latest)
        assert ready.seconds == pytest.approx(profile.length, abs=0.1)


def test_a_cold_night_holds_the_cure_up():
    # 8 h at 20 °C; five hours at 20 °C use 5/8, the rest at 10 °C goes at half the pace: 6 h.
    profile = profile_of([(0, 20), (5 * HOUR, 20), (5 * HOUR, 10), (20 * HOUR, 10)])
    assert subject.ready_at(printed_law(8 * HOUR), profile, 0).seconds == pytest.approx(11 * HOUR)


def test_outside_the_limits_no_time_is_answered():
    ready = subject.ready_at(printed_law(8 * HOUR), hourly([10, 5, -1, 5, 10] + [10] * 30), 0)
    assert (ready.seconds, ready.reason) == (None, "outside_limits")
    # The temperature passes nought at 5/6 of the second hour.
    assert "after 1.83 h" in ready.workings[0].formula


def test_a_frost_after_the_cure_does_not_matter():
    ready = subject.ready_at(printed_law(2 * HOUR), hourly([20, 20, 20, -5]), 0)
    assert ready.seconds == pytest.approx(2 * HOUR)


def test_warm_hours_never_shorten_a_time_with_a_floor():
    law = printed_law(24 * HOUR, floor=True)
    assert subject.ready_at(law, hourly([35] * 40), 0).seconds == pytest.approx(24 * HOUR)


def test_the_surface_is_as_slow_as_the_cooler_of_air_and_ground():
    rain, foot, wheels = printed_law(4 * HOUR), printed_law(10 * HOUR), printed_law(20 * HOUR)
    air, ground = hourly([20] * 60), hourly([10] * 60)
    hours = subject.surface_hours((rain, foot, wheels), air, ground, HOUR)
    assert hours.rain_safe.seconds == pytest.approx(9 * HOUR)
    assert hours.foot.seconds == pytest.approx(21 * HOUR)
    assert hours.vehicles.seconds == pytest.approx(41 * HOUR)
    alone = subject.surface_hours((rain, foot, wheels), air, None, HOUR)
    assert alone.rain_safe.seconds == pytest.approx(5 * HOUR)


@given(degc=st.lists(st.floats(-15, 30), min_size=2, max_size=20), datum=st.sampled_from([0, -10]))
def test_nurse_saul_agrees_with_a_fine_sum(degc, datum):
    profile = hourly(degc)
    fine = np.linspace(0, profile.length, 20_001)
    heights = np.interp(fine, *np.transpose(profile.points))
    expected = np.trapezoid(np.maximum(heights - datum, 0), fine)
    found = subject.nurse_saul(profile, 0, profile.length, datum)
    assert found == pytest.approx(expected, rel=1e-4, abs=1)


def test_a_factor_is_never_reached_at_the_datum():
    with pytest.raises(ModelError) as refused:
        subject.time_to_factor(100, 0, datum=0)
    assert refused.value.code == "not_positive"


def test_a_span_outside_the_profile_is_refused():
    with pytest.raises(ModelError) as refused:
        subject.used_share(printed_law(60), hourly([10, 10]), 0, 3601)
    assert refused.value.code == "outside_profile"
