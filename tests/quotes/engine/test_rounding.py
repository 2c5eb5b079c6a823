import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine.rounding import settled, whole_up


@pytest.mark.parametrize(
    ("count", "whole"),
    [(7.0, 7), (7 + 9e-10, 7), (7 - 9e-10, 7), (7 + 2e-9, 8), (0.1 + 0.2, 1), (0.0, 0)],
)
def test_a_count_within_a_hair_of_a_whole_number_is_that_number(count: float, whole: int) -> None:
    assert whole_up(count) == whole


@given(st.integers(1, 5_000), st.integers(1, 400))
def test_tenths_added_up_are_whole(whole: int, parts: int) -> None:
    assert whole_up(sum([whole / parts] * parts)) == whole


@given(st.floats(0, 1e9))
def test_rounding_up_is_never_down(count: float) -> None:
    assert whole_up(count) >= count - 1e-9 - 8 * math.ulp(count)
    assert abs(settled(count) - count) <= max(1e-9, 8 * math.ulp(count))
