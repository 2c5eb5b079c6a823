import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine import handling as subject
from quotes.engine.errors import ModelError

ZONES = ["shoulder", "elbow", "knuckle", "lower leg", "floor"]
lifts = st.lists(
    st.tuples(st.sampled_from(ZONES), st.sampled_from(["close", "far"])), min_size=1, max_size=5
)


@given(zones=lifts, more=lifts, lifter=st.sampled_from(["men", "women"]))
def test_crossing_more_zones_never_allows_more(zones, more, lifter):
    assert subject.filter_mass(zones + more, lifter) <= subject.filter_mass(zones, lifter)


@given(zones=lifts, hourly=st.floats(0, 1200), more=st.floats(0, 1200))
def test_lifting_more_often_never_allows_more(zones, hourly, more):
    often = subject.filter_mass(zones, "men", lifts_per_hour=hourly + more)
    assert often <= subject.filter_mass(zones, "men", lifts_per_hour=hourly)


def test_a_bag_of_25_kg_at_the_knuckles_just_passes_for_men_and_not_for_women():
    bag = [("knuckle", "close")]
    assert subject.check_lift(25, bag, "men").passes
    assert not subject.check_lift(25.1, bag, "men").passes
    found = subject.check_lift(25, bag, "women")
    assert found.remarks == ("9 kg over the filter: assess, or lift by two",)


def test_a_bag_off_the_floor_fails():
    lift = [("floor", "close"), ("lower leg", "close"), ("knuckle", "close")]
    found = subject.check_lift(20, lift)
    assert (found.filter_mass, found.passes) == (10, False)


def test_carrying_far_fails_whatever_the_mass():
    found = subject.check_lift(5, [("knuckle", "close")], carry=10.1)
    assert found.remarks == ("carried more than 10 m: assess, or use a barrow",)
    assert subject.check_lift(5, [("knuckle", "close")], carry=10).passes


@pytest.mark.parametrize(
    ("hourly", "share"), [(30, 1), (31, 0.7), (120, 0.7), (121, 0.5), (480, 0.5), (481, 0.2)]
)
def test_cuts_for_frequency(hourly, share):
    found = subject.filter_mass([("knuckle", "close")], "men", lifts_per_hour=hourly)
    assert found == pytest.approx(25 * share)


@pytest.mark.parametrize(
    "call",
    [
        lambda: subject.filter_mass([], "men"),
        lambda: subject.filter_mass([("roof", "close")], "men"),
        lambda: subject.filter_mass([("floor", "close")], "boys"),
        lambda: subject.check_lift(0, [("floor", "close")]),
    ],
)
def test_what_cannot_be_is_refused(call):
    with pytest.raises(ModelError):
        call()
