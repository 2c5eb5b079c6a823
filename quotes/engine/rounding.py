"""Rounding counts up, without being fooled by the last digits of a float."""

import math

HAIR = 1e-9


def settled(count: float) -> float:
    """A count within 1e-9 of a whole number (or within float noise of one) as that number."""
    whole = round(count)
    return float(whole) if abs(count - whole) <= max(HAIR, 8 * math.ulp(count)) else count


def whole_up(count: float) -> int:
    """The least whole number that is not below the count, by the same measure."""
    return math.ceil(settled(count))
