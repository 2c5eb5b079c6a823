"""When some of a lot lay in a place, and how many hours beyond a limit that makes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from stock.conditions.rules.series import HOUR, Stretch


@dataclass(frozen=True)
class Stay:
    """A time in which some of a lot lay in a place, and the most of it."""

    start: float
    end: float
    most: int


def stays_of(changes: Iterable[tuple[float, int]], *, end: float) -> list[Stay]:
    """Return when some of a lot lay in a place, from (instant, quantity in or out), until `end`."""
    stays: list[Stay] = []
    there, since, most = 0, 0.0, 0
    for at, change in sorted(changes, key=first):
        was, there = there, there + change
        if was <= 0 < there:
            since, most = at, there
        elif was > 0 and there <= 0:
            stays.append(Stay(since, at, most))
        most = max(most, there)
    if there > 0 and since < end:
        stays.append(Stay(since, end, most))
    return stays


def first(change: tuple[float, int]) -> float:
    return change[0]


def hours_there(stretches: Iterable[Stretch], stays: Sequence[Stay]) -> tuple[float, int]:
    """Return the hours of stretches in which something lay there, and the most that did."""
    seconds, most = 0.0, 0
    for stretch in stretches:
        for stay in stays:
            both = min(stretch.end, stay.end) - max(stretch.start, stay.start)
            if both > 0:
                seconds += both
                most = max(most, stay.most)
    return seconds / HOUR, most
