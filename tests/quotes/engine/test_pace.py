import heapq
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.engine import pace as subject
from quotes.engine.errors import ModelError

stages = st.lists(
    st.builds(
        subject.Stage,
        st.just("stage"),
        st.integers(10, 2000).map(float),
        st.integers(1, 4),
    ),
    min_size=1,
    max_size=4,
)
CREW = subject.Crew(
    mixers=1,
    mixing=180,
    loading=240,
    barrows=2,
    barrow_run=90,
    barrow_runs=3,
    hands=2,
    trowelling=720,
)


def simulated_finish(given_stages, mixes):
    """A small discrete simulation: each mix takes the place that is free first, in turn."""
    ready = [0.0] * mixes
    for stage in given_stages:
        free = [0.0] * stage.places
        for n, at in enumerate(ready):
            ready[n] = max(at, heapq.heappop(free)) + stage.seconds
            heapq.heappush(free, ready[n])
    return ready[-1] if mixes else 0.0


@given(given_stages=stages, mixes=st.integers(0, 60))
def test_the_closed_form_is_never_earlier_than_the_simulation(given_stages, mixes):
    closed = subject.finish_time(given_stages, mixes)
    simulated = simulated_finish(given_stages, mixes)
    slack = max(stage.seconds for stage in given_stages)
    assert simulated <= closed + 1e-6
    assert closed < simulated + slack + 1e-6


@given(given_stages=stages, mixes=st.integers(1, 60))
def test_with_one_place_a_stage_the_closed_form_is_exact(given_stages, mixes):
    single = [subject.Stage(s.name, s.seconds, 1) for s in given_stages]
    assert subject.finish_time(single, mixes) == pytest.approx(simulated_finish(single, mixes))


@given(crew_hands=st.integers(1, 5), mixers=st.integers(1, 3), day=st.floats(3600, 36_000))
def test_mixes_a_day_fit_the_simulated_day(crew_hands, mixers, day):
    crew = subject.Crew(mixers, 180, 240, 2, 90, 3, crew_hands, 720)
    found = subject.pace(crew, 3.0, 100.0, day)
    three = subject.stages_of(crew)
    assert simulated_finish(three, found.mixes_a_day) <= day + 1e-6
    # A place more than the closed form sees would need all places of the slowest stage.
    assert simulated_finish(three, found.mixes_a_day + max(mixers, 2, crew_hands)) > day


def test_the_slowest_stage_sets_the_pace():
    found = subject.pace(CREW, area_per_mix=3.15, area=60, day=7 * 3600)
    # Mixer 420 s, barrow 270/2 s, trowel 720/2 s: one mix in 7 min; first through in 23.5 min.
    assert found.bottleneck == "mixer"
    assert found.mixes_an_hour == pytest.approx(60 / 7)
    assert found.first_done == 1410
    assert found.mixes_a_day == 57
    assert found.area_a_day == pytest.approx(179.55)
    assert found.days == 1


def test_days_are_whole_and_a_hair_is_not_a_day():
    found = subject.pace(CREW, area_per_mix=0.1, area=0.1 * 57 * 3, day=7 * 3600)
    assert found.days == 3
    assert subject.pace(CREW, 0.1, 0.1 * 57 * 3 + 0.01, 7 * 3600).days == 4


def test_a_day_too_short_for_one_mix_is_refused():
    with pytest.raises(ModelError) as refused:
        subject.pace(CREW, 3, 60, 1200)
    assert refused.value.code == "day_too_short"
    assert "23.5 min" in refused.value.message


def test_a_day_for_exactly_one_mix_is_enough():
    assert subject.pace(CREW, 3, 3, 1410).mixes_a_day == 1


RATE = 20 / 3600  # 20 m2 an hour


def test_from_the_same_end_the_edge_is_as_old_as_its_lane_took():
    edge = subject.live_edge([6, 10, 4], 1.0, RATE, 26 * 60)
    # Lane 2 takes 10 m2 at 20 m2/h, 30 min, before lane 3 comes alongside.
    assert edge.age == pytest.approx(1800)
    assert edge.lane == 3
    assert not edge.holds
    assert edge.longest_lane == pytest.approx(20 * 26 / 60)


def test_back_and_forth_the_near_end_waits_for_two_lanes():
    edge = subject.live_edge([6, 10, 4], 1.0, RATE, 50 * 60, back_and_forth=True, turning=60)
    assert edge.age == pytest.approx(16 * 180 + 60)
    assert edge.lane == 2
    assert edge.holds


def test_one_lane_has_no_edge_to_meet():
    edge = subject.live_edge([6], 1.0, RATE, 600)
    assert (edge.age, edge.lane, edge.holds) == (0, 0, True)


@given(
    lengths=st.lists(st.integers(1, 12), min_size=1, max_size=5),
    both_ways=st.booleans(),
)
def test_the_live_edge_agrees_with_laying_it_metre_by_metre(lengths, both_ways):
    # Discrete: each metre of a lane takes 60 s and is laid at its end.
    clock, laid = 0, []
    for lane, length in enumerate(lengths):
        order = range(length) if not (both_ways and lane % 2) else range(length - 1, -1, -1)
        when = {}
        for metre in order:
            clock += 60
            when[metre] = clock
        laid.append(when)
    ages = [after[m] - before[m] for before, after in pairwise(laid) for m in before if m in after]
    edge = subject.live_edge(lengths, 1.0, 1 / 60, 1e6, back_and_forth=both_ways)
    # The closed form looks at the very edge, the metres at their middles: never younger.
    assert edge.age >= max(ages, default=0) - 1e-9
    if len(set(lengths)) == 1 and len(lengths) > 1:
        assert edge.age - max(ages) <= 60 + 1e-9


def test_no_lanes_are_refused():
    with pytest.raises(ModelError) as refused:
        subject.live_edge([], 1.0, RATE, 600)
    assert refused.value.code == "empty"
