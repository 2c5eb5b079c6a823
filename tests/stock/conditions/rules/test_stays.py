"""When some of a lot lay in a place."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from stock.conditions.rules.series import HOUR, Stretch
from stock.conditions.rules.stays import Stay, hours_there, stays_of


def test_in_out_and_in_again() -> None:
    changes = [(0.0, 10), (5.0, -4), (9.0, -6), (20.0, 3)]
    assert stays_of(changes, end=30.0) == [Stay(0, 9, 10), Stay(20, 30, 3)]


def test_the_most_is_of_the_whole_stay() -> None:
    assert stays_of([(0.0, 3), (2.0, 4), (5.0, -6)], end=9.0) == [Stay(0, 9, 7)]


def test_what_came_after_the_end_did_not_lie_there() -> None:
    assert stays_of([(40.0, 3)], end=30.0) == []


def test_only_the_hours_that_both_share_count() -> None:
    stretches = [Stretch(0, 4 * HOUR, 30), Stretch(10 * HOUR, 12 * HOUR, 31)]
    stays = [Stay(2 * HOUR, 11 * HOUR, 5)]
    assert hours_there(stretches, stays) == (3, 5)
    assert hours_there(stretches, []) == (0, 0)


@given(st.lists(st.tuples(st.integers(0, 200), st.integers(-5, 5)), max_size=30))
def test_stays_are_the_seconds_with_a_balance(changes: list[tuple[int, int]]) -> None:
    """Brute force: the running balance, asked at the middle of every second."""
    stays = stays_of([(float(at), change) for at, change in changes], end=201.0)
    counted = sum(
        1
        for second in range(201)
        if sum(change for at, change in changes if at <= second + 0.5) > 0
    )
    assert sum(stay.end - stay.start for stay in stays) == counted
