import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine import moisture as subject
from quotes.engine.errors import ModelError

temperatures = st.floats(-5, 35)
humidities = st.floats(5, 100)
sets = st.sampled_from([subject.WMO, subject.AERK])


@given(at=temperatures, humidity=humidities, constants=sets)
def test_dew_point_and_humidity_are_inverse(at, humidity, constants):
    dew = subject.dew_point(at, humidity, constants)
    back = subject.humidity_from_dew_point(at, min(dew, at), constants)
    assert back == pytest.approx(humidity, rel=1e-9)


@given(at=temperatures, humidity=humidities, constants=sets)
def test_the_dew_point_is_never_above_the_air(at, humidity, constants):
    assert subject.dew_point(at, humidity, constants) <= at + 1e-9


@given(at=temperatures, humidity=st.floats(5, 90), more=st.floats(0.1, 10))
def test_damper_air_has_a_higher_dew_point(at, humidity, more):
    assert subject.dew_point(at, humidity + more) > subject.dew_point(at, humidity)


def gate(surface=15.0, humidity=60.0, dry=86_400.0):
    return subject.surface_gate(10, humidity, surface, dry, constants=subject.AERK)


def test_a_margin_of_exactly_three_degrees_passes():
    dew = subject.dew_point(10, 60, subject.AERK)
    assert gate(surface=dew + 3).warm_enough
    assert not gate(surface=dew + 2.99).warm_enough
    assert gate(surface=dew + 3).least_surface_degc == dew + 3


def test_humidity_must_be_below_the_limit():
    assert gate(humidity=84.9, surface=20).air_dry_enough
    assert not gate(humidity=85, surface=20).air_dry_enough


def test_a_base_dry_for_exactly_long_enough_passes():
    assert gate(dry=86_400).base_dry_enough
    assert not gate(dry=86_399).base_dry_enough


def test_all_three_gates_must_be_passed():
    assert gate().passes
    assert not gate(dry=0).passes


def test_the_workings_name_the_constants():
    assert gate().workings[0].source == "Alduchov and Eskridge 1996"


@pytest.mark.parametrize(
    ("call", "where"),
    [
        (lambda: subject.dew_point(10, 0), "humidity"),
        (lambda: subject.dew_point(10, 100.1), "humidity"),
        (lambda: subject.dew_point(float("inf"), 50), "temperature"),
        (lambda: subject.humidity_from_dew_point(10, 10.5), "dew point"),
    ],
)
def test_what_cannot_be_is_refused(call, where):
    with pytest.raises(ModelError) as refused:
        call()
    assert refused.value.where == where
