"""Guards for plain numbers: every refusal says which value, why, and what would be accepted."""

import math

from quotes.engine.errors import ModelError


def _refusal(
    code: str, where: str, value: object, unit: str, why: str, accepted: str
) -> ModelError:
    shown = f"{value:g}" if isinstance(value, int | float) else repr(value)[:40]
    return ModelError(code, where, f"{shown}{unit and ' ' + unit} {why}; accepted: {accepted}")


def finite(value: float, where: str, accepted: str = "a finite number") -> float:
    """Return the value as a float, or raise ModelError if it is not a finite number.

    True and false are not numbers here, although Python counts them as such.
    """
    if isinstance(value, bool) or not isinstance(value, int | float) or not math.isfinite(value):
        raise _refusal("not_a_number", where, value, "", "is not a finite number", accepted)
    return float(value)


def between(value: float, where: str, low: float, high: float, unit: str = "") -> float:
    """Return the value if low <= value <= high (both ends allowed), else raise ModelError."""
    accepted = f"{low:g} to {high:g}{unit and ' ' + unit}"
    number = finite(value, where, accepted)
    if not low <= number <= high:
        raise _refusal("out_of_range", where, number, unit, "is out of range", accepted)
    return number


def positive(value: float, where: str, unit: str = "") -> float:
    """Return the value if it is more than nought, else raise ModelError."""
    number = finite(value, where, "more than 0")
    if number <= 0:
        raise _refusal("not_positive", where, number, unit, "is not positive", "more than 0")
    return number


def not_negative(value: float, where: str, unit: str = "") -> float:
    """Return the value if it is nought or more, else raise ModelError."""
    number = finite(value, where, "0 or more")
    if number < 0:
        raise _refusal("negative", where, number, unit, "is less than nought", "0 or more")
    return number


def whole(value: int, where: str, least: int = 0) -> int:
    """Return the value if it is a whole number of at least `least`, else raise ModelError."""
    if isinstance(value, bool) or not isinstance(value, int) or value < least:
        wanted = f"a whole number, {least} or more"
        raise _refusal("not_whole", where, value, "", "will not do", wanted)
    return value
