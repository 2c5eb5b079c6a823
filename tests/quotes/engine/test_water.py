import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine import water as subject
from quotes.engine.errors import ModelError

HOUR = 3600.0
TABLE = [subject.Rain(600, 0.012), subject.Rain(HOUR, 0.025), subject.Rain(6 * HOUR, 0.039)]
tables = st.lists(
    st.builds(subject.Rain, st.floats(300, 1e5), st.floats(0, 0.1)), min_size=1, max_size=8
)


@given(table=tables, q=st.floats(0, 1e-4), voids=st.floats(0.1, 0.6), ratio=st.floats(1, 3))
def test_storage_is_never_negative_and_holds_every_storm(table, q, voids, ratio):
    found = subject.storage_depth(table, q, voids, ratio)
    assert found.depth >= 0
    for rain in table:
        assert found.depth * voids >= ratio * rain.depth - q * rain.duration - 1e-12


@given(table=tables, q=st.floats(1e-7, 1e-4), more=st.floats(1, 5))
def test_faster_soil_never_needs_more_storage(table, q, more):
    slow, fast = subject.storage_depth(table, q), subject.storage_depth(table, q * more)
    assert fast.depth <= slow.depth


def test_without_infiltration_all_rain_is_stored_and_never_leaves():
    found = subject.storage_depth(TABLE, 0, 0.3)
    assert found.depth == pytest.approx(0.13)
    assert found.worst == TABLE[2]
    assert found.half_empty is None
    assert not found.empties_in_time


def test_rain_that_soaks_away_as_it_falls_needs_no_storage():
    found = subject.storage_depth(TABLE, 1e-3, 0.3)
    assert (found.depth, found.worst, found.empties_in_time) == (0, None, True)


def test_half_empty_within_a_day():
    assert subject.half_empty_time(0.2, 1e-6, 0.3) == pytest.approx(30_000)
    assert subject.storage_depth(TABLE, 1e-6, 0.3).empties_in_time
    assert not subject.storage_depth(TABLE, 1e-7, 0.3).empties_in_time


def test_outflow_and_inflow_are_volumes():
    assert subject.inflow(20, 0.010) == pytest.approx(0.2)
    assert subject.outflow(2.5, 4e-5, HOUR) == pytest.approx(0.36)


def test_a_factor_of_safety_divides():
    assert subject.design_infiltration(3e-5, 1.5) == pytest.approx(2e-5)
    with pytest.raises(ModelError):
        subject.design_infiltration(3e-5, 0.9)


def test_no_base_that_stops_water_is_listed_as_porous():
    shut = {"concrete", "dense tarmac", "type 1 sub-base", "paving on mortar"}
    assert {name for name, porous in subject.POROUS_BASES.items() if not porous} == shut


@pytest.mark.parametrize(
    "call",
    [
        lambda: subject.storage_depth([], 1e-6),
        lambda: subject.storage_depth(TABLE, -1e-6),
        lambda: subject.storage_depth(TABLE, 1e-6, 0),
        lambda: subject.storage_depth([subject.Rain(0, 0.01)], 1e-6),
        lambda: subject.half_empty_time(0.1, 0, 0.3),
    ],
)
def test_what_cannot_be_is_refused(call):
    with pytest.raises(ModelError):
        call()
