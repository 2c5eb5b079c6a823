"""Temperatures hour by hour, joined by straight lines over real elapsed seconds.

The night the clocks change is 23 or 25 hours long, as the resin feels it.
"""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise

from quotes.engine.errors import ModelError
from quotes.engine.guards import finite
from quotes.engine.temperature import check_temperature


@dataclass(frozen=True, slots=True)
class Profile:
    """Temperatures over time, joined by straight lines.

    points: (seconds from the first, °C), times never falling; two points at one time are a
    jump. start: the aware moment of the first point, or None.
    """

    points: tuple[tuple[float, float], ...]
    start: datetime | None = None

    @property
    def length(self) -> float:
        """Seconds from the first point to the last."""
        return self.points[-1][0]


def profile_of(points: Iterable[tuple[float, float]], *, start: datetime | None = None) -> Profile:
    """a profile from (seconds, °C) pairs; the first time becomes nought.

    Errors: ModelError for fewer than two points, times that fall, or a naive start.
    """
    pairs = [(finite(t, "time"), check_temperature(v, "temperature")) for t, v in points]
    if len(pairs) < 2:
        raise ModelError(
            "too_few", "profile", "the profile has fewer than two points; accepted: two."
        )
    if any(later[0] < earlier[0] for earlier, later in pairwise(pairs)):
        raise ModelError(
            "bad_order", "profile", "the profile's times fall; accepted: times in order."
        )
    if start is not None and start.tzinfo is None:
        raise ModelError(
            "naive_time", "start", "the start has no time zone; accepted: one with a zone."
        )
    first = pairs[0][0]
    return Profile(tuple((t - first, v) for t, v in pairs), start)


def profile_from_hours(times: Sequence[datetime], degc: Sequence[float]) -> Profile:
    """a profile from aware moments and as many temperatures (°C).

    Time is what truly passes: two moments in one zone are compared by their instants, not by
    the clock on the wall. Errors: ModelError for naive moments or lists of unequal length.
    """
    if len(times) != len(degc) or not times:
        raise ModelError(
            "unequal", "profile", "times and temperatures differ in number; accepted: pairs."
        )
    if any(moment.tzinfo is None for moment in times):
        raise ModelError(
            "naive_time", "profile", "a time has no zone; accepted: times with a zone."
        )
    stamps = [moment.timestamp() for moment in times]
    return profile_of(zip(stamps, degc, strict=True), start=times[0])


def moment_at(profile: Profile, seconds: float) -> datetime:
    """The moment so many seconds after the profile's start, in the start's own zone.

    Errors: ModelError for a profile without a start.
    """
    if profile.start is None:
        raise ModelError(
            "no_start", "profile", "the profile has no start; accepted: one made from hours."
        )
    stamp = profile.start.timestamp() + finite(seconds, "seconds")
    return datetime.fromtimestamp(stamp, UTC).astimezone(profile.start.tzinfo)


def temperature_at(profile: Profile, seconds: float) -> float:
    """the temperature (°C) at a time (s from the first point); at a jump, the later value.

    Errors: ModelError outside the profile.
    """
    check_span(profile, seconds, seconds)
    index = bisect_right(profile.points, seconds, key=lambda point: point[0])
    before = profile.points[index - 1]
    if index == len(profile.points):
        return before[1]
    after = profile.points[index]
    return before[1] + (after[1] - before[1]) * (seconds - before[0]) / (after[0] - before[0])


def hotter_of(air: Profile, surface: Profile) -> Profile:
    """The hotter of two profiles at every moment, for working time."""
    return _extreme(air, surface, max)


def cooler_of(air: Profile, surface: Profile) -> Profile:
    """The cooler of two profiles at every moment, for cure."""
    return _extreme(air, surface, min)


def _extreme(one: Profile, other: Profile, pick: Callable[[float, float], float]) -> Profile:
    if [t for t, _ in one.points] != [t for t, _ in other.points] or one.start != other.start:
        raise ModelError(
            "unequal", "profile", "the two profiles have other hours; accepted: the same."
        )
    both = [(t, a, b) for (t, a), (_, b) in zip(one.points, other.points, strict=True)]
    points: list[tuple[float, float]] = [(0.0, pick(*both[0][1:]))]
    for before, after in pairwise(both):
        crossing = _crossing(before, after)
        points.extend([crossing] if crossing else [])
        points.append((after[0], pick(*after[1:])))
    return Profile(tuple(points), one.start)


def _crossing(
    before: tuple[float, float, float], after: tuple[float, float, float]
) -> tuple[float, float] | None:
    gap, next_gap = before[1] - before[2], after[1] - after[2]
    if gap * next_gap >= 0 or after[0] == before[0]:
        return None
    share = gap / (gap - next_gap)
    return (
        before[0] + share * (after[0] - before[0]),
        before[1] + share * (after[1] - before[1]),
    )


def check_span(profile: Profile, begin: float, end: float) -> None:
    """Raise ModelError unless 0 <= begin <= end <= the profile's length, all in s."""
    if not 0 <= finite(begin, "begin") <= finite(end, "end") <= profile.length:
        raise ModelError(
            "outside_profile",
            "profile",
            f"{begin:g} to {end:g} s lies outside the profile; "
            f"accepted: 0 to {profile.length:g} s, in order.",
        )


def pieces_of(
    profile: Profile, begin: float, end: float, kinks: Sequence[float] = ()
) -> list[tuple[float, float, float, float]]:
    """Straight pieces (t0, T0, t1, T1) of a span, in s and °C, cut where T passes a kink (°C)."""
    pieces: list[tuple[float, float, float, float]] = []
    for (t0, v0), (t1, v1) in pairwise(profile.points):
        low, high = max(t0, begin), min(t1, end)
        if high <= low:
            continue
        slope = (v1 - v0) / (t1 - t0)
        cuts = {low, high}
        if slope:
            reached = (t0 + (kink - v0) / slope for kink in kinks)
            cuts.update(t for t in reached if low < t < high)
        pieces.extend(
            (a, v0 + slope * (a - t0), b, v0 + slope * (b - t0)) for a, b in pairwise(sorted(cuts))
        )
    return pieces
