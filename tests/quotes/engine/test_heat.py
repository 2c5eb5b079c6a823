import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from quotes.engine import heat as subject
from quotes.engine.errors import ModelError
from quotes.engine.profile import profile_of, temperature_at
from quotes.engine.temperature import printed_law

HOUR = 3600.0
parts = st.lists(
    st.builds(
        subject.HeatPart,
        st.just("part"),
        st.floats(0.1, 500),
        st.floats(100, 3000),
        st.floats(-10, 50),
    ),
    min_size=1,
    max_size=6,
)


def test_the_stone_rules_the_mix():
    mix = subject.mix_temperature(
        [
            subject.HeatPart("stone", 100, 840, 10),
            subject.HeatPart("kit", 7, 1900, 20),
            subject.HeatPart("drum", 40, 480, 15),
        ]
    )
    # (84000 x 10 + 13300 x 20 + 19200 x 15) / 116500
    assert mix.degc == pytest.approx(11.965665, abs=1e-6)
    assert mix.workings[0].result == "12.0 °C"


@given(given_parts=parts)
def test_a_mix_is_never_hotter_or_colder_than_its_parts(given_parts):
    degc = subject.mix_temperature(given_parts).degc
    assert min(p.degc for p in given_parts) - 1e-9 <= degc
    assert degc <= max(p.degc for p in given_parts) + 1e-9


@given(given_parts=parts)
def test_the_order_of_the_parts_does_not_matter(given_parts):
    forward = subject.mix_temperature(given_parts).degc
    assert subject.mix_temperature(given_parts[::-1]).degc == pytest.approx(forward, abs=1e-9)


def test_the_heap_uses_time_at_its_own_temperature_and_the_layer_at_the_base():
    law = printed_law(1800)
    # Ten minutes in a heap at 30 °C use two thirds of 15 min; a third of 60 min at 10 °C is left.
    assert subject.pot_life(law, 30, 600, 10) == pytest.approx(600 + 1200)
    assert subject.pot_life(law, 30, 1000, 10) == pytest.approx(900)
    assert subject.pot_life(law, 41, 600, 10) is None


@given(start=st.floats(-5, 45), at=st.floats(0.01, 1), constant=st.floats(600, 200_000))
def test_the_lag_agrees_with_an_integrated_equation(start, at, constant):
    store = profile_of([(0, 5), (6 * HOUR, 25), (6 * HOUR, 18), (12 * HOUR, 8)])
    end = at * store.length
    # scipy.integrate.solve_ivp over the two straight pieces, the jump between them.
    kit = start
    for begin, stop in ((0.0, min(end, 6 * HOUR)), (6 * HOUR, end)):
        if stop > begin:
            solved = solve_ivp(
                lambda t, k: (temperature_at(store, t) - k) / constant,
                (begin, stop - 1e-6),
                [kit],
                rtol=1e-8,
                atol=1e-8,
                max_step=HOUR / 4,
            )
            kit = float(solved.y[0, -1])
    assert subject.kit_temperature(start, store, end, constant) == pytest.approx(kit, abs=2e-3)


def test_a_kit_reaches_63_per_cent_of_the_way_in_one_time_constant():
    steady = profile_of([(0, 20), (1e6, 20)])
    assert subject.kit_temperature(0, steady, 7200, 7200) == pytest.approx(20 * 0.6321206, abs=1e-6)


def test_conditioning_time_is_the_inverse_of_the_lag():
    steady = profile_of([(0, 18), (1e6, 18)])
    needed = subject.conditioning_time(4, 18, 15, 20_000)
    assert subject.kit_temperature(4, steady, needed, 20_000) == pytest.approx(15)
    assert subject.conditioning_time(15, 18, 15, 20_000) == 0


@pytest.mark.parametrize("wanted", [3, 18, 19])
def test_a_temperature_that_is_never_reached_is_refused(wanted):
    with pytest.raises(ModelError) as refused:
        subject.conditioning_time(4, 18, wanted, 20_000)
    assert refused.value.code == "never_reached"


def test_a_heavier_kit_lags_longer():
    assert subject.lag_constant(7, 1900, 8, 0.2) == pytest.approx(8312.5)


def test_a_mix_of_nothing_is_refused():
    with pytest.raises(ModelError) as refused:
        subject.mix_temperature([])
    assert refused.value.code == "empty"
