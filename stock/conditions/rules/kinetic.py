"""The mean kinetic temperature, and readings thinned out for a chart."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from stock.conditions.rules.series import HOUR, Sample

# Molar gas constant, CODATA 2018 (exact), kJ/(mol·K); kelvin at 0 °C, the definition.
GAS_CONSTANT = 8.314462618e-3
ZERO_C_IN_K = 273.15
# Activation energy in common use for the mean kinetic temperature, kJ/mol.
USUAL_ENERGY = 83.144


def mean_kinetic_c(
    values: Sequence[float],
    weights: Sequence[float] | None = None,
    *,
    energy: float = USUAL_ENERGY,
) -> float:
    """Return the mean kinetic temperature in °C of values in °C; `energy` in kJ/mol.

    The single temperature at which as much would have decayed as at all of them, by Arrhenius'
    law: T = (ΔH/R) / −ln(Σ wᵢ exp(−ΔH/(R Tᵢ)) / Σ wᵢ) (Haynes 1971). Without weights each value
    counts the same, as in the published form. ValueError without values or weight.
    """
    shares = list(weights) if weights is not None else [1.0] * len(values)
    whole = sum(shares)
    if not values or whole <= 0 or energy <= 0:
        raise ValueError("A mean kinetic temperature needs readings and a positive energy.")
    ratio = energy / GAS_CONSTANT
    powers = [-ratio / (value + ZERO_C_IN_K) for value in values]
    # The greatest power is taken out first, so that no exponential underflows.
    top = max(powers)
    mean = sum(w * math.exp(p - top) for w, p in zip(shares, powers, strict=True)) / whole
    return ratio / -(top + math.log(mean)) - ZERO_C_IN_K


def time_weights(good: Sequence[Sample], *, gap_hours: float) -> list[float]:
    """Return the hours that each reading stands for: half the way to each neighbour, no gap."""
    weights = [0.0] * len(good)
    for index, (before, after) in enumerate(pairwise(good)):
        apart = after.at - before.at
        if apart <= gap_hours * HOUR:
            weights[index] += apart / 2 / HOUR
            weights[index + 1] += apart / 2 / HOUR
    return weights if sum(weights) > 0 else [1.0] * len(good)


def thin(good: Sequence[Sample], most: int) -> list[Sample]:
    """Return at most about `most` readings for a chart: of each stretch its least and greatest."""
    if len(good) <= most:
        return list(good)
    size = math.ceil(2 * len(good) / most)
    shown: list[Sample] = []
    for start in range(0, len(good), size):
        part = good[start : start + size]
        shown += sorted({min(part, key=value_of), max(part, key=value_of)})
    return shown


def value_of(sample: Sample) -> float:
    return sample.value
