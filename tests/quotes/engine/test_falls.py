import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine import falls as subject
from quotes.engine.errors import ModelError

slopes = st.floats(0.001, 0.5)


@pytest.mark.parametrize(
    "text",
    [
        "1:80",
        "1 : 80",
        "1 in 80",
        "1.25 %",
        "1.25%",
        "1.25 per cent",
        "0.716160 degrees",
        "0.71616°",
        "0.71616 deg",
        "12.5 mm/m",
        "12.5 mm per m",
        "2:160",
        "1 IN 80",
    ],
)
def test_every_notation_is_read(text):
    assert subject.parse_fall(text) == pytest.approx(0.0125, rel=1e-5)


@given(slope=slopes)
def test_what_is_written_is_read_back(slope):
    shown = subject.notations(slope)
    assert subject.parse_fall(shown.degrees) == pytest.approx(slope, abs=2e-5)
    assert subject.parse_fall(shown.percent) == pytest.approx(slope, abs=1e-4)
    assert subject.parse_fall(shown.millimetres) == pytest.approx(slope, abs=1e-4)
    assert subject.parse_fall(shown.ratio) == pytest.approx(slope, rel=0.03)


def test_level_is_level_in_every_notation():
    assert subject.parse_fall("level") == 0
    assert subject.notations(0).ratio == "level"


@pytest.mark.parametrize(
    "text",
    ["80", "1.25", "1:0", "-1:80", "1/80", "1:80:2", "", "2:1", "50 degrees", "1e3 %", "x" * 50],
)
def test_what_is_no_fall_is_refused(text):
    with pytest.raises(ModelError) as refused:
        subject.parse_fall(text, "areas[0].fall")
    assert refused.value.where == "areas[0].fall"
    assert "accepted" in refused.value.message


@given(slope=slopes, run=st.floats(0.1, 100))
def test_drop_and_fall_are_inverse(slope, run):
    assert subject.fall_between(subject.drop(slope, run), 0, run) == pytest.approx(slope)


def test_a_fall_the_wrong_way_is_negative():
    assert subject.fall_between(10.00, 10.05, 4) == pytest.approx(-0.0125)


def test_an_angle_is_the_arc_tangent():
    assert subject.degrees(1) == pytest.approx(45)
    assert subject.degrees(0.05) == pytest.approx(math.degrees(math.atan(0.05)))


@pytest.mark.parametrize(
    ("fall", "word"),
    [
        ("1:61", "level"),
        ("1:60", "gently sloping"),
        ("1:20", "gently sloping"),
        ("1:19", "ramp"),
        ("1:12", "ramp"),
        ("1:11", "too steep for a ramp"),
    ],
)
def test_what_a_slope_is_to_people(fall, word):
    assert subject.slope_for_people(subject.parse_fall(fall)) == word


@pytest.mark.parametrize("value", [-1, 151, float("nan")])
def test_a_pendulum_value_that_cannot_be_is_refused(value):
    with pytest.raises(ModelError):
        subject.slip_potential(value)


def test_a_value_between_two_bands_counts_to_the_worse():
    assert subject.slip_potential(24.5) == "high"
    assert subject.slip_potential(35.9) == "moderate"
