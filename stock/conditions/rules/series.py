"""Hours beyond a limit from readings: straight lines between them, spikes and gaps said apart.

Plain floats: an instant is seconds since the epoch, so that no clock change bends an hour; values
are °C; lengths are hours.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import NamedTuple

HOUR = 3600.0
# One reading that leaps away from both neighbours faster than air in a store can change.
# Common practice, no source: doors and sun move it by a few kelvin in an hour.
SPIKE_JUMP_K = 5.0
SPIKE_RATE_K_PER_H = 20.0
# Stretches beyond a limit that less than this parts are one period, whose hours are added.
REST_HOURS = 24.0


class Sample(NamedTuple):
    """One reading: seconds since the epoch, °C."""

    at: float
    value: float


@dataclass(frozen=True)
class Kept:
    """Readings in order, without the spikes; `unsettled` is a last leap that waits for the next."""

    good: tuple[Sample, ...]
    spikes: tuple[Sample, ...]
    unsettled: Sample | None = None


@dataclass(frozen=True)
class Stretch:
    """Time without a break beyond a limit, and the farthest value in it."""

    start: float
    end: float
    extreme: float

    @property
    def hours(self) -> float:
        """Return how long it lasts."""
        return (self.end - self.start) / HOUR


@dataclass(frozen=True)
class Period:
    """Stretches that belong together; its hours are theirs, not those of the rests between."""

    stretches: tuple[Stretch, ...]
    high: bool

    @property
    def start(self) -> float:
        """Return when the first begins."""
        return self.stretches[0].start

    @property
    def end(self) -> float:
        """Return when the last ends."""
        return self.stretches[-1].end

    @property
    def hours(self) -> float:
        """Return the hours beyond the limit."""
        return sum(stretch.hours for stretch in self.stretches)

    @property
    def extreme(self) -> float:
        """Return the farthest value."""
        pick = max if self.high else min
        return pick(stretch.extreme for stretch in self.stretches)


def leaps(before: Sample, after: Sample) -> int:
    """Return 1 or −1 where the value leaps up or down from one reading to the next, else 0."""
    change = after.value - before.value
    hours = (after.at - before.at) / HOUR
    if abs(change) <= SPIKE_JUMP_K or (hours > 0 and abs(change) / hours <= SPIKE_RATE_K_PER_H):
        return 0
    return 1 if change > 0 else -1


def keep_good(samples: Iterable[Sample]) -> Kept:
    """Part the readings from their spikes: a leap away and back again within two readings.

    A leap that the next reading confirms is no spike. One at the very end is left out until the
    next reading settles it.
    """
    rows = sorted(samples)
    good: list[Sample] = []
    spikes: list[Sample] = []
    unsettled = None
    for index, row in enumerate(rows):
        away = leaps(good[-1], row) if good else 0
        if away and index + 1 == len(rows):
            unsettled = row
        elif away and leaps(row, rows[index + 1]) == -away:
            spikes.append(row)
        else:
            good.append(row)
    return Kept(tuple(good), tuple(spikes), unsettled)


def gaps_of(
    good: Sequence[Sample], *, gap_hours: float, start: float, end: float
) -> list[tuple[float, float]]:
    """Return where between `start` and `end` nothing is known: longer than `gap_hours` apart.

    The time before the first and after the last reading counts in the same way.
    """
    marks = [start, *(row.at for row in good if start < row.at < end), end]
    inside = list(pairwise(marks))
    before = [row.at for row in good if row.at <= start]
    after = [row.at for row in good if row.at >= end]
    gaps = []
    for left, right in inside:
        # The whole distance between two readings decides, not the part inside the window.
        whole_left = max(before, default=left) if left == start else left
        whole_right = min(after, default=right) if right == end else right
        if whole_right - whole_left > gap_hours * HOUR and right > left:
            gaps.append((left, right))
    return gaps


def stretches_beyond(
    good: Sequence[Sample],
    limit: float,
    *,
    high: bool,
    gap_hours: float,
    start: float = -math.inf,
    end: float = math.inf,
) -> list[Stretch]:
    """Return the stretches above (or below) a limit, between `start` and `end`, in order.

    The value runs in a straight line from reading to reading; readings farther apart than
    `gap_hours` tell nothing of the time between them. A value on the limit is within it.
    """
    found: list[Stretch] = []
    for before, after in pairwise(good):
        part = line_beyond(before, after, limit, high=high, start=start, end=end)
        if part is None or after.at - before.at > gap_hours * HOUR:
            continue
        if found and found[-1].end == part.start:
            pick = max if high else min
            part = Stretch(found[-1].start, part.end, pick(found[-1].extreme, part.extreme))
            found.pop()
        found.append(part)
    return found


def line_beyond(
    before: Sample, after: Sample, limit: float, *, high: bool, start: float, end: float
) -> Stretch | None:
    """Return the part of one straight line that lies beyond the limit within the window."""
    sign = 1.0 if high else -1.0
    a, b = sign * (before.value - limit), sign * (after.value - limit)
    if after.at <= before.at or (a <= 0 and b <= 0):
        return None
    left, right = before.at, after.at
    if a < 0 < b:
        left += (right - left) * (-a / (b - a))
    elif b < 0 < a:
        right = left + (right - left) * (a / (a - b))
    left, right = max(left, start), min(right, end)
    if right <= left:
        return None
    share = [(at - before.at) / (after.at - before.at) for at in (left, right)]
    values = [before.value + (after.value - before.value) * part for part in share]
    return Stretch(left, right, max(values) if high else min(values))


def hours_of(stretches: Iterable[Stretch]) -> float:
    """Return the hours of all stretches together."""
    return sum(stretch.hours for stretch in stretches)


def periods_of(stretches: Sequence[Stretch], *, high: bool) -> list[Period]:
    """Gather stretches that less than REST_HOURS parts."""
    groups: list[list[Stretch]] = []
    for stretch in stretches:
        if groups and stretch.start - groups[-1][-1].end < REST_HOURS * HOUR:
            groups[-1].append(stretch)
        else:
            groups.append([stretch])
    return [Period(tuple(group), high) for group in groups]
