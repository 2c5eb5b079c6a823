"""The mean kinetic temperature's laws; its published form is checked in tests/outside."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.conditions.rules.kinetic import mean_kinetic_c, thin, time_weights
from stock.conditions.rules.series import HOUR, Sample

temperatures = st.lists(st.floats(-30, 60), min_size=1, max_size=40)


@given(temperatures)
def test_it_lies_between_the_mean_and_the_greatest(values: list[float]) -> None:
    """Warm hours weigh more than cold ones: exp(−a/T) is convex below T = a/2."""
    found = mean_kinetic_c(values)
    assert sum(values) / len(values) - 1e-6 <= found <= max(values) + 1e-6


@given(st.floats(-30, 60), st.integers(1, 30))
def test_a_steady_store_has_its_own_temperature(value: float, count: int) -> None:
    assert mean_kinetic_c([value] * count) == pytest.approx(value, abs=1e-6)


@given(temperatures, st.floats(20, 100), st.floats(1, 100))
def test_more_energy_weighs_the_warm_hours_more(
    values: list[float], energy: float, more: float
) -> None:
    low, high = (mean_kinetic_c(values, energy=one) for one in (energy, energy + more))
    assert low <= high + 1e-6


def test_a_weight_is_as_good_as_a_repeat() -> None:
    assert mean_kinetic_c([10, 30], [3, 1]) == pytest.approx(mean_kinetic_c([10, 10, 10, 30]))


@pytest.mark.parametrize(("values", "weights"), [([], None), ([20.0], [0.0])])
def test_nothing_has_no_mean(values: list[float], weights: list[float] | None) -> None:
    with pytest.raises(ValueError, match="needs readings"):
        mean_kinetic_c(values, weights)


def test_each_reading_stands_for_half_the_way_to_its_neighbours() -> None:
    good = [Sample(hour * HOUR, 20) for hour in (0, 1, 3, 13)]
    assert time_weights(good, gap_hours=6) == [0.5, 1.5, 1.0, 0.0]
    assert time_weights(good[-1:], gap_hours=6) == [1.0]


def test_a_chart_keeps_the_extremes() -> None:
    rows = [Sample(float(n), 20.0) for n in range(5000)]
    rows[1234], rows[4321] = Sample(1234.0, 44.0), Sample(4321.0, -7.0)
    shown = thin(rows, 500)
    assert len(shown) <= 501
    assert {rows[1234], rows[4321]} <= set(shown)
    assert shown == sorted(shown)
    assert thin(rows[:10], 500) == rows[:10]
