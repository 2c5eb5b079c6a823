"""Money in pounds as Decimal, and every rounding the firm uses, by name and in one place.

All roundings are half up, as people round by hand. GBP only.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal

PENNY = Decimal("0.01")
RATE_STEP = Decimal("0.0001")
ZERO = Decimal("0.00")


def round_line(amount: Decimal) -> Decimal:
    """Return a line's amount in whole pence, half up."""
    return amount.quantize(PENNY, rounding=ROUND_HALF_UP)


def round_vat(net: Decimal, rate_percent: Decimal) -> Decimal:
    """Return VAT on a document's total at one rate, in whole pence, half up.

    It is taken once on the total of that rate, never by line, and never cut downwards: rounding
    down is open to invoice traders only and wrong for consumers' prices.
    """
    return (net * rate_percent / 100).quantize(PENNY, rounding=ROUND_HALF_UP)


def round_rate(rate: Decimal) -> Decimal:
    """Return a unit price or rate with its four places, half up."""
    return rate.quantize(RATE_STEP, rounding=ROUND_HALF_UP)


def share_out(total: Decimal, weights: Sequence[Decimal]) -> tuple[Decimal, ...]:
    """Split `total` over `weights` in whole pence; the parts add up to `total` exactly.

    Each part is the difference of two rounded running totals, so no penny is lost or found.
    Weights must not be negative and must not all be zero (ValueError).
    """
    whole = sum(weights, Decimal(0))
    if whole <= 0 or any(weight < 0 for weight in weights):
        raise ValueError("The weights must be zero or more, and not all of them zero.")
    parts: list[Decimal] = []
    seen, given = Decimal(0), Decimal(0)
    for weight in weights:
        seen += weight
        upto = round_line(total * seen / whole)
        parts.append(upto - given)
        given = upto
    return tuple(parts)
