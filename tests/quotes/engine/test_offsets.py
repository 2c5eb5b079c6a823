import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import simpson as scipy_simpson

from quotes.engine import offsets

heights = st.lists(st.floats(0, 20), min_size=2, max_size=25)


def area(found: offsets.Weights, values: list[float]) -> float:
    return sum(w * h for w, h in zip(found.weights, values, strict=True))


# numpy and scipy are the general libraries that stand outside here.
@given(heights, st.floats(0.1, 10))
def test_trapezoidal_agrees_with_numpy(values: list[float], spacing: float) -> None:
    stations = [spacing * k for k in range(len(values))]
    ours = area(offsets.trapezoidal(stations), values)
    assert ours == pytest.approx(float(np.trapezoid(values, stations)), rel=1e-9, abs=1e-9)


@given(heights.filter(lambda values: len(values) % 2 == 1), st.floats(0.1, 10))
def test_simpson_agrees_with_scipy_on_an_odd_number(values: list[float], spacing: float) -> None:
    stations = [spacing * k for k in range(len(values))]
    ours = area(offsets.simpson(stations), values)
    assert ours == pytest.approx(float(scipy_simpson(values, x=stations)), rel=1e-9, abs=1e-9)


def test_simpson_takes_a_trapezium_for_the_last_strip_of_an_even_number() -> None:
    found = offsets.simpson([0.0, 1.0, 2.0, 3.0])
    assert found.weights == pytest.approx((1 / 3, 4 / 3, 1 / 3 + 1 / 2, 1 / 2))
    assert found.notes == (
        "Simpson on offsets 1 to 3",
        "trapezium for the strip from offset 3 to 4",
    )


def test_unequal_spacings_are_split_at_each_change() -> None:
    assert offsets.runs([0, 5, 10, 15, 20, 30, 40, 60, 80]) == [(0, 4), (4, 6), (6, 8)]
    assert offsets.runs([0, 1]) == [(0, 1)]
    assert offsets.runs([0, 1, 3]) == [(0, 1), (1, 2)]


@given(st.lists(st.floats(0.5, 5), min_size=1, max_size=12))
def test_weights_of_both_rules_come_to_the_base(spacings: list[float]) -> None:
    stations = [0.0]
    for each in spacings:
        stations.append(stations[-1] + each)
    for rule in (offsets.trapezoidal, offsets.simpson):
        assert sum(rule(stations).weights) == pytest.approx(stations[-1], rel=1e-9)
