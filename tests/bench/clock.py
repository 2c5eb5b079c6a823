"""Timing: medians over many turns, since a shared machine has its moods."""

from __future__ import annotations

import gc
import statistics
import time
from collections.abc import Callable


class AbsentError(Exception):
    """What a measure needs is not on this machine; the message says what."""


def median_ms(work: Callable[[], object], turns: int) -> float:
    """Return the median time of `work` in ms, after three turns that do not count."""
    for _ in range(3):
        work()
    gc.collect()
    times = []
    for _ in range(turns):
        begun = time.perf_counter()
        work()
        times.append(time.perf_counter() - begun)
    return statistics.median(times) * 1000
