"""Eight-hour averages: what is breathed and what is heard.

Concentrations in mg/m3, noise in dB(A), times in s. The safety data sheet and the dated limits
of the country come first; the figures here are for orientation.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from quotes.engine.guards import between, not_negative

DAY = 8 * 3600.0


@dataclass(frozen=True, slots=True)
class Limit:
    """A workplace exposure limit: 8 h and 15 min averages (mg/m3), None where none is set."""

    name: str
    eight_hours: float
    fifteen_minutes: float | None
    source: str


ISOCYANATES = Limit(
    "isocyanates as NCO", 0.02, 0.07, "EH40, as quoted by a monitoring service; follow the sheet"
)


def average_8h(parts: Sequence[tuple[float, float]]) -> float:
    """Eight-hour average (mg/m3) of parts (mg/m3, s): sum of C t / 8 h.

    Errors: ModelError for negative values or more than 24 h in all.
    """
    between(math.fsum(not_negative(t, "time", "s") for _, t in parts), "times", 0.0, 86_400.0, "s")
    return math.fsum(not_negative(c, "concentration", "mg/m3") * t for c, t in parts) / DAY


def over_limit(average: float, limit: Limit) -> bool:
    """Whether an eight-hour average (mg/m3) is above a limit; equality is not."""
    return not_negative(average, "average", "mg/m3") > limit.eight_hours * (1 + 1e-9)


def daily_noise(parts: Sequence[tuple[float, float]]) -> float:
    """Daily noise exposure (dB(A)) of parts (dB(A), s), energy-averaged over 8 h.

    Errors: ModelError for no time at all, levels outside 0 to 160, or more than 24 h.
    Source: LEP,d of the Control of Noise at Work Regulations 2005.
    """
    total = math.fsum(not_negative(t, "time", "s") for _, t in parts)
    between(total, "times", 1.0, 86_400.0, "s")
    energy = math.fsum(t * 10 ** (between(db, "noise", 0.0, 160.0) / 10) for db, t in parts)
    return 10 * math.log10(energy / DAY)


def noise_band(exposure: float) -> str:
    """'below', 'lower action', 'upper action' or 'over the limit' for a daily exposure (dB(A)).

    Lower 80, upper 85, limit 87; a value that is just reached counts as reached, but the limit
    must be passed. Source: Control of Noise at Work Regulations 2005.
    """
    value = between(exposure, "noise", -50.0, 160.0)
    if value > 87 + 1e-9:
        return "over the limit"
    if value >= 85 - 1e-9:
        return "upper action"
    return "lower action" if value >= 80 - 1e-9 else "below"
