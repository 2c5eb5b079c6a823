"""Aggregate sizes by the EN rules, and the curve of greatest density.

Sizes are the labels of sieves in mm, passing is in per cent of mass.
"""

from dataclasses import dataclass

from quotes.engine.errors import BlendError
from quotes.engine.guards import between, positive

# Basic set plus set 2, as used in the United Kingdom; 6.3 may be written 6 and 31.5 as 32.
UK_SIZES = (1.0, 2.0, 4.0, 6.3, 8.0, 10.0, 12.5, 14.0, 16.0, 20.0, 31.5, 40.0, 63.0)
_WRITTEN = {6.0: 6.3, 32.0: 31.5}
LEAST_RATIO = 1.4


@dataclass(frozen=True, slots=True)
class Designation:
    """An aggregate size d/D in mm by the EN rules; d is 0 for a sand or a filler."""

    lower: float
    upper: float

    def __str__(self) -> str:
        return f"{self.lower:g}/{self.upper:g}"


def designation(text: str, where: str = "size") -> Designation:
    """Read a size such as '2/6.3' and check it: both sizes of the set, and D/d at least 1.4.

    6 may stand for 6.3 and 32 for 31.5; d may be 0. Errors: BlendError, saying which sizes of
    the set are nearest. Source: EN 13043 with basic set plus set 2, as suppliers print it.
    """
    halves = text.strip().removesuffix("mm").split("/") if isinstance(text, str) else []
    try:
        lower, upper = (float(half) for half in halves)
    except ValueError:
        raise BlendError(
            "bad_size", where, f"'{str(text)[:40]}' is not a size; accepted: such as '2/6.3'"
        ) from None
    lower, upper = _WRITTEN.get(lower, lower), _WRITTEN.get(upper, upper)
    for size in (lower, upper):
        if size not in UK_SIZES and not (size == lower == 0 < upper):
            near = sorted(UK_SIZES, key=lambda known: abs(known - size))
            raise BlendError(
                "unknown_size",
                where,
                f"{size:g} mm is not a size of the set; accepted: {min(near[:2]):g} or "
                f"{max(near[:2]):g} mm",
            )
    if lower and upper / lower < LEAST_RATIO - 1e-9:
        raise BlendError(
            "too_narrow",
            where,
            f"{lower:g}/{upper:g} has D/d {upper / lower:.3g}; accepted: {LEAST_RATIO:g} or more",
        )
    return Designation(lower, upper)


def fuller(sieve: float, largest: float, power: float = 0.45) -> float:
    """Passing (%) at a sieve (mm) on the curve of greatest density: 100 (d/D)^n, at most 100.

    largest: D in mm, the largest size itself and not the nominal one below it; power: 0.45 for
    the chart of powers, 0.5 for Fuller. Errors: ModelError outside 0.3 to 0.7.
    Source: Fuller and Thompson 1907; 0.45-power chart of the US Bureau of Public Roads.
    """
    ratio = positive(sieve, "sieve", "mm") / positive(largest, "largest size", "mm")
    passing: float = 100 * min(1.0, ratio) ** between(power, "power", 0.3, 0.7)
    return passing
