"""Pace of a lay day: mixes an hour, area a day, days, and the age of the live edge.

Times in s, areas in m2, rates per s unless the name says otherwise.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from quotes.engine.errors import ModelError
from quotes.engine.guards import finite, not_negative, positive, whole
from quotes.engine.workings import COMMON_PRACTICE, Working, figure

NEAR = 1e-9  # a count within this of a whole number is that number


@dataclass(frozen=True, slots=True)
class Stage:
    """One step of a mix's way: name, time (s) that it holds a place, and places side by side."""

    name: str
    seconds: float
    places: int


@dataclass(frozen=True, slots=True)
class Crew:
    """What a crew has: mixers, barrows and trowel hands with the times (s) that a mix takes.

    loading: filling and emptying the drum; barrow_runs: barrow-loads a mix; trowelling: s for
    one mix by one hand.
    """

    mixers: int
    mixing: float
    loading: float
    barrows: int
    barrow_run: float
    barrow_runs: int
    hands: int
    trowelling: float


@dataclass(frozen=True, slots=True)
class Pace:
    """The pace of a crew.

    mixes_an_hour; mixes_a_day: whole, mixed and trowelled in the day; area_a_day: m2; days:
    whole; bottleneck: the stage that sets the pace; first_done: s until mix 1 is trowelled.
    """

    mixes_an_hour: float
    mixes_a_day: int
    area_a_day: float
    days: int
    bottleneck: str
    first_done: float
    workings: tuple[Working, ...]


def stages_of(crew: Crew) -> tuple[Stage, ...]:
    """The three stages of a mix: drum, barrow, trowel.

    A mix that takes several barrow-loads holds its barrow for all of them. Errors: ModelError
    for counts below 1 or times that are not positive.
    """
    drum = positive(crew.mixing, "mixing", "s") + not_negative(crew.loading, "loading", "s")
    barrow = positive(crew.barrow_run, "barrow run", "s") * whole(crew.barrow_runs, "runs", 1)
    return (
        Stage("mixer", drum, whole(crew.mixers, "mixers", 1)),
        Stage("barrow", barrow, whole(crew.barrows, "barrows", 1)),
        Stage(
            "trowel", positive(crew.trowelling, "trowelling", "s"), whole(crew.hands, "hands", 1)
        ),
    )


def finish_time(stages: Sequence[Stage], mixes: int) -> float:
    """Time (s) by which so many mixes have passed every stage, at the latest.

    Closed form: the time through all stages + (mixes - 1) x the slowest time per place. Exact
    where the slowest stage has one place, else late by less than one stay in it: never
    optimistic. Errors: ModelError for no stages or a negative count. Source: deterministic
    tandem queue.
    """
    if not stages:
        raise ModelError("empty", "stages", "no stages are given; accepted: one or more")
    if whole(mixes, "mixes") == 0:
        return 0.0
    through = math.fsum(stage.seconds for stage in stages)
    return through + (mixes - 1) * max(stage.seconds / stage.places for stage in stages)


def pace(crew: Crew, area_per_mix: float, area: float, day: float) -> Pace:
    """The pace of a crew over an area (m2) with so many seconds of laying a day.

    Each day starts with empty drums, and a mix counts only if it is trowelled by the end.
    Errors: ModelError for values that are not positive, or a day too short for one mix.
    """
    stages = stages_of(crew)
    slowest = max(stages, key=lambda stage: stage.seconds / stage.places)
    cycle = slowest.seconds / slowest.places
    through = finish_time(stages, 1)
    spare = positive(day, "day", "s") - through
    if spare < -NEAR * through:
        raise ModelError(
            "day_too_short",
            "day",
            f"{day / 60:g} min is less than one mix takes; accepted: {through / 60:g} min or more",
        )
    a_day = 1 + math.floor(spare / cycle + NEAR)
    laid = a_day * positive(area_per_mix, "area per mix", "m2")
    days = max(1, math.ceil(positive(area, "area", "m2") / laid - NEAR))
    said = (
        Working(
            "mixes an hour",
            "3600 s / the slowest stage's time per place",
            tuple((s.name, f"{s.seconds:g} s, {s.places} side by side") for s in stages),
            f"{figure(3600 / cycle, places=1)}, set by the {slowest.name}",
            COMMON_PRACTICE,
        ),
        Working(
            "mixes a day",
            "1 + (day - time of one mix through all stages) / time per mix, whole mixes",
            (("day", f"{day / 3600:g} h"), ("one mix", f"{through / 60:g} min")),
            f"{a_day} mixes, {laid:.1f} m²",
            COMMON_PRACTICE,
        ),
    )
    return Pace(3600 / cycle, a_day, laid, days, slowest.name, through, said)


@dataclass(frozen=True, slots=True)
class LiveEdge:
    """The oldest edge that fresh material is laid against.

    age: s; lane: number of the lane laid against it, counted from 2; holds: whether the age is
    within the working time; longest_lane: the lane length (m) that would just hold, or None
    where no lane would.
    """

    age: float
    lane: int
    holds: bool
    longest_lane: float | None
    workings: tuple[Working, ...]


def live_edge(
    lengths: Sequence[float],
    width: float,
    area_rate: float,
    working: float,
    *,
    back_and_forth: bool = False,
    turning: float = 0.0,
) -> LiveEdge:
    """The age of the live edge, worst lane.

    lengths: m of each lane in the order laid; width: m; area_rate: m2/s; working: working time
    of the layer in s; turning: s lost between lanes. Laid always from the same end, a point of
    the edge is met as long after it was laid as its lane took; laid back and forth, the near
    end waits for both lanes.
    With one lane there is no edge to meet: age 0, lane 0. Errors: ModelError for no lanes or
    values that are not positive. Source: common practice, no source.
    """
    if not lengths:
        raise ModelError("empty", "lengths", "no lanes are given; accepted: one or more")
    pace_m = positive(area_rate, "area rate", "m2/s") / positive(width, "width", "m")
    lost = not_negative(turning, "turning", "s")
    limit = positive(working, "working time", "s")
    takes = [positive(length, "lane", "m") / pace_m for length in lengths]
    ages = [before + lost + (after if back_and_forth else 0.0) for before, after in pairwise(takes)]
    age = max(ages, default=0.0)
    lane = ages.index(age) + 2 if ages else 0
    room = (limit - lost) * pace_m / (2 if back_and_forth else 1)
    said = Working(
        "live edge",
        "lane's length x width / area a second, both lanes where laid back and forth, + turning",
        (("width", f"{width:g} m"), ("pace", f"{area_rate * 3600:.1f} m²/h")),
        f"{age / 60:.0f} min in lane {lane}, working time {limit / 60:.0f} min",
        COMMON_PRACTICE,
    )
    longest = room if room > 0 else None
    return LiveEdge(finite(age, "age"), lane, age <= limit * (1 + NEAR), longest, (said,))
