import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine import permeability as subject
from quotes.engine.errors import ModelError


@given(n=st.floats(0.1, 0.4), d=st.floats(1e-4, 6e-3))
def test_kozeny_carman_is_square_in_grain_and_cubic_in_voids(n, d):
    one = subject.kozeny_carman(n, d).conductivity
    assert subject.kozeny_carman(n, 2 * d).conductivity == pytest.approx(4 * one)
    law = (1.2 * n) ** 3 / (1 - 1.2 * n) ** 2 * (1 - n) ** 2 / n**3
    assert subject.kozeny_carman(1.2 * n, d).conductivity == pytest.approx(law * one)


def test_open_stone_is_said_to_flow_beyond_the_laminar_range():
    fine, open_stone = subject.kozeny_carman(0.3, 1e-4), subject.kozeny_carman(0.3, 3e-3)
    assert fine.in_range
    assert fine.remark == ""
    assert not open_stone.in_range
    assert "not laminar" in open_stone.remark


def test_hazen_says_when_it_is_out_of_range():
    assert subject.hazen(1e-3, 2).conductivity == pytest.approx(0.01)
    assert subject.hazen(1e-3, 2).in_range
    assert subject.hazen(3e-3, 4.9).in_range
    assert not subject.hazen(3.1e-3, 2).in_range
    assert not subject.hazen(1e-3, 5).in_range
    assert subject.hazen(1e-3, 5).remark


def test_a_conductivity_in_mm_an_hour():
    assert subject.hazen(1e-3, 2).mm_per_hour == pytest.approx(36_000)


@given(m=st.floats(1, 30), d=st.floats(0.1, 0.5), t=st.floats(5, 600))
def test_a_ring_test_is_a_volume_over_an_area_and_a_time(m, d, t):
    rate = subject.ring_infiltration(subject.RingTest(m, d, t))
    assert rate * t * 3.141592653589793 * (d / 2) ** 2 == pytest.approx(m / 1000)


def test_several_ring_tests_are_reduced_to_mean_and_least():
    tests = [subject.RingTest(18, 0.3, 60), subject.RingTest(18, 0.3, 120)]
    found = subject.surface_infiltration(tests)
    assert found.mean == pytest.approx(1.5 * found.least)


def test_the_slowest_filling_of_a_pit_counts():
    slow = subject.soil_infiltration(1, 0.75, 1, [3000, 3360, 3300])
    assert slow.rate == pytest.approx(0.375 / (2.5 * 3360))
    assert (slow.volume, slow.wetted) == (pytest.approx(0.375), pytest.approx(2.5))


@pytest.mark.parametrize(
    "call",
    [
        lambda: subject.kozeny_carman(0, 1e-3),
        lambda: subject.kozeny_carman(0.3, 1e-3, degc=50),
        lambda: subject.hazen(1e-3, 0.5),
        lambda: subject.surface_infiltration([]),
        lambda: subject.ring_infiltration(subject.RingTest(18, 0.3, 0)),
        lambda: subject.soil_infiltration(1, 1, 1, [60, 60]),
    ],
)
def test_what_cannot_be_is_refused(call):
    with pytest.raises(ModelError):
        call()
