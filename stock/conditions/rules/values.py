"""Which temperatures, humidities and instants can be readings of a store."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal, InvalidOperation

LEAST_C, MOST_C = Decimal(-40), Decimal(80)
LEAST_RH, MOST_RH = Decimal(0), Decimal(100)
OLDEST = timedelta(days=2 * 366)
AHEAD = timedelta(minutes=10)  # what a logger's clock may run ahead of ours
HUNDREDTH, TENTH = Decimal("0.01"), Decimal("0.1")


def read_figure(text: str) -> Decimal:
    """Read a figure written with a point or a comma; ValueError for anything else."""
    plain = text.strip().replace("\u2212", "-").replace(",", ".")
    try:
        figure = Decimal(plain)
    except InvalidOperation as error:
        raise ValueError(f"'{text.strip()[:30]}' is no figure.") from error
    if not figure.is_finite():
        raise ValueError(f"'{text.strip()[:30]}' is no figure.")
    return figure


def celsius_of(fahrenheit: Decimal) -> Decimal:
    """Return °F in °C: (F − 32) · 5/9, by definition."""
    return (fahrenheit - 32) * 5 / 9


def check_celsius(value: Decimal) -> Decimal:
    """Return a temperature in °C to the hundredth; ValueError where no store is so cold or hot."""
    if not LEAST_C <= value <= MOST_C:
        raise ValueError(f"A temperature lies between {LEAST_C} and {MOST_C} °C.")
    return value.quantize(HUNDREDTH)


def check_humidity(value: Decimal) -> Decimal:
    """Return a relative humidity in % to the tenth; ValueError outside 0 to 100."""
    if not LEAST_RH <= value <= MOST_RH:
        raise ValueError("A relative humidity lies between 0 and 100 %.")
    return value.quantize(TENTH)


def check_instant(at: datetime, now: datetime) -> datetime:
    """Return the instant of a reading to the second; ValueError outside the last two years."""
    if not 2000 <= at.year <= 2200:
        raise ValueError("The time is not of this century.")
    if at > now + AHEAD:
        raise ValueError("The time lies ahead.")
    if at < now - OLDEST:
        raise ValueError("The time lies more than two years back.")
    return at.replace(microsecond=0)
