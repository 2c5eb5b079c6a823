"""What becomes of a plan's VAT when the reverse charge is decided otherwise than was agreed.

The nets stay as agreed. What was invoiced keeps its VAT; what is left to invoice has none under the
reverse charge, or that of its rate without it. Agreed is invoiced plus left, at every rate.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from jobs.billing.rules.vat import RateSum
from jobs.kernel.money import ZERO, round_vat


def vat_under(row: RateSum, *, reverse_charge: bool) -> RateSum:
    """Return a net with the VAT that is charged on it, half up; none under the reverse charge."""
    return RateSum(row.rate, row.net, ZERO if reverse_charge else round_vat(row.net, row.rate))


def left_under(left: Mapping[Decimal, RateSum], *, reverse_charge: bool) -> dict[Decimal, RateSum]:
    """Return what is left to invoice with the VAT of the decision."""
    return {rate: vat_under(row, reverse_charge=reverse_charge) for rate, row in left.items()}


def asked_under(rows: Sequence[RateSum], *, reverse_charge: bool) -> Decimal:
    """Return what a request for these nets asks for under the decision."""
    return sum((vat_under(row, reverse_charge=reverse_charge).gross for row in rows), ZERO)
