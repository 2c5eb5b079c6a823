from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine import profile as subject
from quotes.engine.errors import ModelError

LONDON = ZoneInfo("Europe/London")
lists = st.lists(st.tuples(st.floats(-20, 40), st.floats(-20, 40)), min_size=2, max_size=8)


def hours(*degc):
    return subject.profile_of([(3600.0 * n, value) for n, value in enumerate(degc)])


def test_hours_are_joined_by_straight_lines():
    profile = hours(10, 20, 16)
    assert subject.temperature_at(profile, 1800) == 15
    assert subject.temperature_at(profile, 3600) == 20
    assert subject.temperature_at(profile, 7200) == 16


def test_two_points_at_one_time_are_a_jump_to_the_later():
    profile = subject.profile_of([(0, 10), (60, 10), (60, 30), (120, 30)])
    assert subject.temperature_at(profile, 59) == 10
    assert subject.temperature_at(profile, 60) == 30


def test_the_night_the_clocks_go_back_has_a_25th_hour():
    # zoneinfo: Europe/London goes back on 25 October 2026.
    start = datetime(2026, 10, 24, 12, tzinfo=LONDON)
    end = datetime(2026, 10, 25, 12, tzinfo=LONDON)
    profile = subject.profile_from_hours([start, end], [10, 10])
    assert profile.length == 25 * 3600
    assert subject.moment_at(profile, 25 * 3600) == end
    assert subject.moment_at(profile, 3600).utcoffset() == timedelta(hours=1)


def test_moments_keep_the_zone_of_the_start():
    profile = subject.profile_from_hours(
        [datetime(2026, 6, 1, 8, tzinfo=LONDON), datetime(2026, 6, 1, 9, tzinfo=LONDON)], [10, 12]
    )
    assert subject.moment_at(profile, 1800).isoformat() == "2026-06-01T08:30:00+01:00"


@given(values=lists, share=st.floats(0, 1))
def test_hotter_and_cooler_hold_at_every_moment(values, share):
    air, surface = hours(*(v[0] for v in values)), hours(*(v[1] for v in values))
    at = share * air.length
    both = [subject.temperature_at(air, at), subject.temperature_at(surface, at)]
    hotter = subject.temperature_at(subject.hotter_of(air, surface), at)
    cooler = subject.temperature_at(subject.cooler_of(air, surface), at)
    assert hotter == pytest.approx(max(both), abs=1e-9)
    assert cooler == pytest.approx(min(both), abs=1e-9)


def test_pieces_are_cut_where_a_kink_is_passed():
    assert subject.pieces_of(hours(10, 20), 0, 3600, [15]) == [
        (0.0, 10.0, 1800.0, 15.0),
        (1800.0, 15.0, 3600.0, 20.0),
    ]


NAIVE = datetime(2026, 6, 1, 8)  # noqa: DTZ001


@pytest.mark.parametrize(
    ("call", "code"),
    [
        (lambda: subject.profile_of([(0, 10)]), "too_few"),
        (lambda: subject.profile_of([(10, 10), (0, 10)]), "bad_order"),
        (lambda: subject.profile_of([(0, 10), (1, 10)], start=NAIVE), "naive_time"),
        (lambda: subject.profile_from_hours([NAIVE, NAIVE], [1, 2]), "naive_time"),
        (lambda: subject.profile_from_hours([datetime(2026, 6, 1, tzinfo=UTC)], [1, 2]), "unequal"),
        (lambda: subject.temperature_at(hours(10, 20), 3601), "outside_profile"),
        (lambda: subject.moment_at(hours(10, 20), 1), "no_start"),
        (lambda: subject.hotter_of(hours(1, 2), hours(1, 2, 3)), "unequal"),
    ],
)
def test_what_cannot_be_is_refused(call, code):
    with pytest.raises(ModelError) as refused:
        call()
    assert refused.value.code == code
