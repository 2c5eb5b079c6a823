"""Hours beyond a limit: their laws, a brute-force comparison, spikes and gaps by example."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.conditions.rules.series import (
    HOUR,
    Sample,
    gaps_of,
    hours_of,
    keep_good,
    periods_of,
    stretches_beyond,
)


def series(*rows: tuple[float, float]) -> list[Sample]:
    """Return samples from (hour, °C)."""
    return [Sample(hour * HOUR, value) for hour, value in rows]


def hours(good: list[Sample], limit: float, **kwargs: Any) -> float:
    return hours_of(stretches_beyond(good, limit, **{"high": True, "gap_hours": 6} | kwargs))


# -- straight lines --------------------------------------------------------------------------


def test_the_crossing_lies_where_the_straight_line_crosses() -> None:
    # From 20 to 30 in two hours: 25 is passed after one; back in one hour: after half of it.
    good = series((0, 20), (2, 30), (3, 20))
    assert hours(good, 25) == pytest.approx(1.5)
    assert hours(good, 25, high=False) == pytest.approx(1.5)
    (stretch,) = stretches_beyond(good, 25, high=True, gap_hours=6)
    assert (stretch.start / HOUR, stretch.end / HOUR, stretch.extreme) == (1, 2.5, 30)


def test_on_the_limit_is_within_it() -> None:
    good = series((0, 25), (1, 25), (2, 25))
    assert hours(good, 25) == 0
    assert hours(good, 25, high=False) == 0


def test_a_gap_tells_nothing_of_the_time_between() -> None:
    good = series((0, 30), (1, 30), (8, 30), (9, 30))
    assert hours(good, 25, gap_hours=6) == pytest.approx(2)
    assert hours(good, 25, gap_hours=7) == pytest.approx(9)


def test_the_far_value_of_a_clipped_line_is_that_of_the_clip() -> None:
    good = series((0, 20), (4, 40))
    (stretch,) = stretches_beyond(good, 25, high=True, gap_hours=6, end=2 * HOUR)
    assert stretch.extreme == pytest.approx(30)


steps = st.lists(
    st.tuples(st.floats(0.1, 9), st.floats(-20, 45, allow_nan=False)), min_size=2, max_size=25
)


def made(parts: list[tuple[float, float]]) -> list[Sample]:
    rows, at = [], 0.0
    for step, value in parts:
        at += step
        rows.append(Sample(at * HOUR, value))
    return rows


@given(steps, st.floats(-20, 45), st.floats(0, 1), st.booleans())
def test_hours_add_up_wherever_the_time_is_split(
    parts: list[tuple[float, float]], limit: float, share: float, high: bool
) -> None:
    good = made(parts)
    start, end = good[0].at, good[-1].at
    middle = start + (end - start) * share
    whole = hours(good, limit, high=high, start=start, end=end)
    split = hours(good, limit, high=high, start=start, end=middle) + hours(
        good, limit, high=high, start=middle, end=end
    )
    assert split == pytest.approx(whole, abs=1e-6)


@given(steps, st.floats(-20, 45))
def test_above_and_below_never_exceed_the_time_that_is_known(
    parts: list[tuple[float, float]], limit: float
) -> None:
    good = made(parts)
    start, end = good[0].at, good[-1].at
    unknown = sum(b - a for a, b in gaps_of(good, gap_hours=6, start=start, end=end)) / HOUR
    known = (end - start) / HOUR - unknown
    both = hours(good, limit) + hours(good, limit, high=False)
    assert 0 <= both <= known + 1e-6
    # Only what lies on the limit itself is neither above nor below.
    if all(row.value != limit for row in good):
        assert both == pytest.approx(known, abs=1e-6)


@given(steps, st.floats(-20, 45), st.floats(0.01, 10))
def test_a_higher_limit_never_has_more_hours_above_it(
    parts: list[tuple[float, float]], limit: float, more: float
) -> None:
    good = made(parts)
    assert hours(good, limit + more) <= hours(good, limit) + 1e-9


@given(steps, st.floats(-20, 45), st.booleans())
def test_the_hours_are_those_of_a_count_in_small_steps(
    parts: list[tuple[float, float]], limit: float, high: bool
) -> None:
    """Brute force: the middle of each of many small steps, looked up on its own line."""
    good, many = made(parts), 100
    counted = 0.0
    for before, after in pairwise(good):
        if after.at - before.at > 6 * HOUR:
            continue
        step = (after.at - before.at) / many
        for n in range(many):
            value = before.value + (after.value - before.value) * (n + 0.5) / many
            counted += step if (value > limit if high else value < limit) else 0
    allowed = sum((b.at - a.at) / many for a, b in pairwise(good))
    assert hours(good, limit, high=high) * HOUR == pytest.approx(counted, abs=allowed + 1)


# -- spikes ----------------------------------------------------------------------------------


def test_one_bad_reading_is_a_spike_and_is_said() -> None:
    rows = series((0, 18), (0.25, 18.2), (0.5, 61), (0.75, 18.1), (1, 18))
    kept = keep_good(rows)
    assert kept.spikes == (Sample(0.5 * HOUR, 61),)
    assert hours(list(kept.good), 25) == 0
    assert len(kept.good) + len(kept.spikes) == len(rows)


def test_a_spike_downward_too() -> None:
    kept = keep_good(series((0, 8), (0.25, -30), (0.5, 8)))
    assert [row.value for row in kept.spikes] == [-30]


def test_a_leap_that_the_next_reading_confirms_is_no_spike() -> None:
    rows = series((0, 18), (0.25, 30), (0.5, 31), (0.75, 30))
    assert keep_good(rows).spikes == ()


def test_an_hour_of_sun_is_no_spike() -> None:
    """11 K up and down within two hours is what a van does (common practice, no source)."""
    rows = series((0, 20), (1, 31), (2, 20))
    assert keep_good(rows).spikes == ()
    assert hours(list(keep_good(rows).good), 25) == pytest.approx(12 / 11)


def test_a_leap_at_the_end_waits_for_the_next_reading() -> None:
    rows = series((0, 18), (0.25, 18), (0.5, 60))
    kept = keep_good(rows)
    assert kept.unsettled == rows[-1]
    assert kept.spikes == ()
    assert keep_good([*rows, *series((0.75, 59))]).good[-2:] == tuple(series((0.5, 60), (0.75, 59)))


@given(steps)
def test_no_reading_is_lost_between_the_kept_and_the_spikes(
    parts: list[tuple[float, float]],
) -> None:
    rows = made(parts)
    kept = keep_good(reversed(rows))
    together = [*kept.good, *kept.spikes, *([kept.unsettled] if kept.unsettled else [])]
    assert sorted(together) == rows


# -- gaps ------------------------------------------------------------------------------------


def test_gaps_are_named_also_before_the_first_and_after_the_last() -> None:
    good = series((10, 5), (12, 5), (20, 5))
    gaps = gaps_of(good, gap_hours=6, start=0, end=24 * HOUR)
    assert [(a / HOUR, b / HOUR) for a, b in gaps] == [(0, 10), (12, 20)]


def test_a_gap_that_reaches_into_the_window_counts_by_its_whole_length() -> None:
    good = series((0, 5), (8, 5), (9, 5))
    gaps = gaps_of(good, gap_hours=6, start=5 * HOUR, end=9 * HOUR)
    assert [(a / HOUR, b / HOUR) for a, b in gaps] == [(5, 8)]
    assert gaps_of(good, gap_hours=8, start=5 * HOUR, end=9 * HOUR) == []


def test_without_readings_all_of_it_is_a_gap() -> None:
    assert gaps_of([], gap_hours=6, start=0, end=24 * HOUR) == [(0, 24 * HOUR)]


# -- periods ---------------------------------------------------------------------------------


def test_hot_afternoons_of_one_week_are_one_period_and_their_hours_add_up() -> None:
    rows = series(*((24 * day + hour, 30 if 12 <= hour <= 16 else 18)
                    for day in range(5) for hour in range(24)))  # fmt: skip
    stretches = stretches_beyond(rows, 25, high=True, gap_hours=6)
    (period,) = periods_of(stretches, high=True)
    assert len(period.stretches) == 5
    # Each day 4 h flat, and of the two lines from 18 to 30 the part above 25: 5/12 h each.
    assert period.hours == pytest.approx(5 * (4 + 2 * 5 / 12))
    assert period.extreme == 30


def test_a_day_of_rest_ends_a_period() -> None:
    rows = series((0, 30), (2, 30), (2.1, 20), (20, 20), (38, 20), (38.1, 30), (40, 30))
    stretches = stretches_beyond(rows, 25, high=True, gap_hours=20)
    assert [len(p.stretches) for p in periods_of(stretches, high=True)] == [1, 1]
