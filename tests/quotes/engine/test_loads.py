import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from quotes.engine import loads as subject
from quotes.engine.errors import ModelError
from quotes.engine.packing import _least

# Bags and kits of a firm's day.
days = st.lists(
    st.tuples(st.sampled_from([25.0, 20.0, 12.5, 7.0, 6.25, 5.0, 1.5]), st.integers(1, 9)),
    min_size=1,
    max_size=4,
    unique_by=lambda item: item[0],
)


def items_of(day):
    return [subject.Item(f"{mass} kg", mass, count) for mass, count in day]


def least_by_milp(day, usable, most):
    """Bin packing as a mixed-integer programme: counts by trip and kind, and trips used."""
    kinds = len(day)
    masses = np.array([mass for mass, _ in day])
    size = most * kinds + most
    cost = np.r_[np.zeros(most * kinds), np.ones(most)]
    rows, low, high = [], [], []
    for trip in range(most):
        row = np.zeros(size)
        row[trip * kinds : (trip + 1) * kinds] = masses
        row[most * kinds + trip] = -usable
        rows.append(row)
        low.append(-np.inf)
        high.append(0)
    for kind, (_, count) in enumerate(day):
        row = np.zeros(size)
        row[kind : most * kinds : kinds] = 1
        rows.append(row)
        low.append(count)
        high.append(count)
    top = np.r_[np.tile([count for _, count in day], most), np.ones(most)]
    solved = milp(
        cost,
        constraints=LinearConstraint(np.array(rows), low, high),
        integrality=np.ones(size),
        bounds=Bounds(0, top),
        options={"time_limit": 20},
    )
    return round(solved.fun) if solved.status == 0 else None


@settings(max_examples=40, deadline=None)
@given(day=days, usable=st.sampled_from([26.0, 40.0, 57.0, 100.0, 131.0, 240.0]))
def test_the_trips_are_as_few_as_a_milp_finds(day, usable):
    found = subject.least_trips(items_of(day), usable)
    assert found.proven
    expected = least_by_milp(day, usable, found.count)
    assert expected in {found.count, None}


@settings(deadline=None)
@given(day=days, usable=st.floats(25, 400))
def test_trips_carry_everything_and_none_is_over(day, usable):
    found = subject.least_trips(items_of(day), usable)
    carried: dict[str, int] = {}
    for load, mass in zip(found.loads, found.masses, strict=True):
        assert mass <= usable + 1e-6
        for name, count in load:
            carried[name] = carried.get(name, 0) + count
    assert carried == {f"{mass} kg": count for mass, count in day}


def test_heaviest_first_is_bettered():
    # Heaviest first makes 7+7, 5+5+3 and 3; exactly, 7+5+3 twice.
    items = [subject.Item("seven", 7, 2), subject.Item("five", 5, 2), subject.Item("three", 3, 2)]
    assert subject.least_trips(items, 15).count == 2


def test_sacks_cannot_be_split():
    assert subject.least_trips([subject.Item("stone", 25, 24)], 120).count == 6
    assert subject.least_trips([subject.Item("stone", 25, 24)], 125).count == 5


def test_a_load_that_fits_to_the_gram_fits():
    assert subject.least_trips([subject.Item("sand", 0.1, 3)], 0.3).count == 1


def test_hundreds_of_bags_are_packed_exactly():
    items = [
        subject.Item("stone 2-6", 25, 180),
        subject.Item("stone 1-2", 25, 61),
        subject.Item("sand", 6.25, 60),
        subject.Item("kit", 7.5, 60),
    ]
    found = subject.least_trips(items, 873)
    assert (found.count, found.proven) == (8, True)


def test_one_thing_over_the_payload_is_refused_and_said_by_how_much():
    with pytest.raises(ModelError) as refused:
        subject.least_trips([subject.Item("bulk bag", 850, 1)], 800)
    assert refused.value.code == "over_payload"
    assert "50 kg over" in refused.value.message


def test_nothing_to_carry_is_no_trip():
    assert subject.least_trips([subject.Item("stone", 25, 0)], 800).count == 0


def test_a_trip_over_the_payload_says_by_how_much():
    subject.check_trip(800, 800)
    with pytest.raises(ModelError) as refused:
        subject.check_trip(812.5, 800)
    assert "12.5 kg over" in refused.value.message


BOARD = {"van": 1980.0, "crew": 160.0, "mixer": 110.0, "fuel": 60.0, "tools": 85.0}


def test_usable_payload_is_what_the_plate_leaves():
    assert subject.usable_payload(3500, BOARD).usable == pytest.approx(1105)


def test_a_van_that_is_full_already_is_refused():
    with pytest.raises(ModelError) as refused:
        subject.usable_payload(2300, BOARD)
    assert refused.value.code == "no_payload"
    assert "95 kg over" in refused.value.message


def test_the_vans_own_mass_must_be_among_them():
    with pytest.raises(ModelError) as refused:
        subject.usable_payload(3500, {"crew": 160})
    assert refused.value.code == "missing"


def test_pallets_are_whole_by_item():
    items = [
        subject.Item("stone", 25, 41, per_pallet=40),
        subject.Item("sand", 25, 40, per_pallet=40),
        subject.Item("kit", 7, 12),
    ]
    assert subject.pallets(items) == 3
    assert subject.total_mass(items) == pytest.approx(2109)


def test_overload_is_told_in_per_cent():
    assert subject.overload_percent(3850, 3500) == pytest.approx(10)
    assert subject.overload_percent(3400, 3500) == 0


def test_the_bound_sees_what_a_load_can_hold_at_all():
    # 30 bags of 25 kg at 49 kg: one a trip, which mass alone (16 trips) does not tell.
    assert _least([25], (30,), 49) == 30
