import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine import vibration as subject
from quotes.engine.errors import ModelError

uses = st.lists(
    st.builds(subject.Use, st.just("tool"), st.floats(0, 30), st.floats(0, 7200)), max_size=6
)


@given(day=uses)
def test_points_are_sixteen_times_the_square(day):
    found = subject.daily_exposure(day)
    assert found.points == pytest.approx(16 * found.a8**2)
    hours = sum(subject.points_per_hour(u.vibration) * u.seconds / 3600 for u in day)
    assert found.points == pytest.approx(hours, abs=1e-9)


@given(vibration=st.floats(0.5, 30), value=st.sampled_from([2.5, 5.0]))
def test_the_time_to_a_value_reaches_it(vibration, value):
    seconds = subject.time_to(vibration, value)
    if seconds <= 86_400:
        found = subject.daily_exposure([subject.Use("tool", vibration, seconds)])
        assert found.a8 == pytest.approx(value)


@given(day=uses)
def test_the_order_of_the_uses_does_not_matter(day):
    forward = subject.daily_exposure(day).a8
    assert subject.daily_exposure(day[::-1]).a8 == pytest.approx(forward, abs=1e-12)


def test_reaching_the_action_value_counts_but_the_limit_must_be_passed():
    action = subject.daily_exposure([subject.Use("tool", 2.5, 8 * 3600)])
    limit = subject.daily_exposure([subject.Use("tool", 5, 8 * 3600)])
    beyond = subject.daily_exposure([subject.Use("tool", 5.01, 8 * 3600)])
    assert (action.over_action, action.over_limit) == (True, False)
    assert (limit.over_action, limit.over_limit) == (True, False)
    assert beyond.over_limit


def test_the_axes_are_summed_as_vectors():
    assert subject.vector_sum([2, 3, 6]) == pytest.approx(7)


def test_a_typical_figure_says_that_the_maker_comes_first():
    use = subject.typical_use("breaker", 600)
    assert use.vibration == 12
    assert "typical, follow the maker's figure" in use.tool
    assert set(subject.TYPICAL) == {"breaker", "disc cutter", "plate compactor", "paddle mixer"}


def test_minutes_are_rounded_down():
    assert subject.minutes_shown(subject.time_to(12)) == "20 min"


@pytest.mark.parametrize(
    "call",
    [
        lambda: subject.vector_sum([1, 2]),
        lambda: subject.typical_use("chisel", 60),
        lambda: subject.daily_exposure([subject.Use("tool", -1, 60)]),
        lambda: subject.daily_exposure([subject.Use("tool", 1, 86_401)]),
        lambda: subject.time_to(0),
        lambda: subject.weekly_exposure([1] * 8),
    ],
)
def test_what_cannot_be_is_refused(call):
    with pytest.raises(ModelError):
        call()
