"""Area under offsets from a base line: the trapezoidal rule and Simpson's.

Both rules are sums of weights times offsets, so the weights are what is worked out here; the
tape's uncertainty follows from them. Simpson wants an odd number of equally spaced offsets: a
run of equal spacings with an even number of them takes a trapezium for its last strip, and a
base with unequal spacings is split at each change. Sources: both rules stand in any textbook of
land surveying (memory); the treatment of an even number is the usual one there.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

_SAME = 1e-6  # spacings equal to within a micron and a millionth are one spacing


@dataclass(frozen=True, slots=True)
class Weights:
    """Weights in m, one an offset, and what was done where, in words."""

    weights: tuple[float, ...]
    notes: tuple[str, ...]


def trapezoidal(stations: Sequence[float]) -> Weights:
    """Weights of the trapezoidal rule; stations in m along the base, rising, two or more."""
    weights = [0.0] * len(stations)
    for k, (start, end) in enumerate(pairwise(stations)):
        weights[k] += (end - start) / 2
        weights[k + 1] += (end - start) / 2
    return Weights(tuple(weights), (f"trapezium for each of {len(stations) - 1} strips",))


def simpson(stations: Sequence[float]) -> Weights:
    """Weights of Simpson's rule run by run, with a trapezium for the last strip of an odd one."""
    weights = [0.0] * len(stations)
    notes = []
    for first, last in runs(stations):
        strips = last - first
        paired = strips - strips % 2
        step = (stations[last] - stations[first]) / strips
        for k in range(first, first + paired, 2):
            weights[k] += step / 3
            weights[k + 1] += 4 * step / 3
            weights[k + 2] += step / 3
        if paired:
            notes.append(f"Simpson on offsets {first + 1} to {first + paired + 1}")
        if strips % 2:
            width = stations[last] - stations[last - 1]
            weights[last - 1] += width / 2
            weights[last] += width / 2
            notes.append(f"trapezium for the strip from offset {last} to {last + 1}")
    return Weights(tuple(weights), tuple(notes))


def runs(stations: Sequence[float]) -> list[tuple[int, int]]:
    """Runs of equal spacing as (first, last) station numbers from nought."""
    found: list[tuple[int, int]] = []
    first = 0
    for k in range(1, len(stations)):
        spacing = stations[first + 1] - stations[first]
        if abs(stations[k] - stations[k - 1] - spacing) > _SAME * (1 + spacing):
            found.append((first, k - 1))
            first = k - 1
    found.append((first, len(stations) - 1))
    return found
