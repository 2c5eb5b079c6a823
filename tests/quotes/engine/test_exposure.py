import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine import exposure as subject
from quotes.engine.errors import ModelError

HOUR = 3600.0


@given(level=st.floats(60, 110))
def test_eight_hours_at_one_level_are_that_level(level):
    assert subject.daily_noise([(level, 8 * HOUR)]) == pytest.approx(level)


@given(level=st.floats(60, 110))
def test_half_the_time_is_three_decibels_less(level):
    assert subject.daily_noise([(level, 4 * HOUR)]) == pytest.approx(level - 3.0103, abs=1e-4)


def test_silence_beside_noise_changes_nothing_to_speak_of():
    loud = subject.daily_noise([(90, HOUR)])
    assert subject.daily_noise([(90, HOUR), (0, HOUR)]) == pytest.approx(loud, abs=1e-6)


@pytest.mark.parametrize(
    ("level", "band"),
    [
        (79.9, "below"),
        (80, "lower action"),
        (85, "upper action"),
        (87, "upper action"),
        (87.1, "over the limit"),
    ],
)
def test_noise_bands(level, band):
    assert subject.noise_band(level) == band


def test_an_average_at_the_limit_is_not_over_it():
    assert not subject.over_limit(0.02, subject.ISOCYANATES)
    assert subject.over_limit(0.0201, subject.ISOCYANATES)


@pytest.mark.parametrize(
    "call",
    [
        lambda: subject.daily_noise([]),
        lambda: subject.daily_noise([(200, HOUR)]),
        lambda: subject.average_8h([(-1, HOUR)]),
        lambda: subject.average_8h([(1, 25 * HOUR)]),
    ],
)
def test_what_cannot_be_is_refused(call):
    with pytest.raises(ModelError):
        call()
