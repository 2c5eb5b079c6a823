"""Tax on documents, written once: VAT by rate on the document's total, half up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from jobs.kernel.money import ZERO, round_line, round_vat


@dataclass(frozen=True)
class VatTotals:
    """A document's sums: net and VAT for each rate, and all together."""

    by_rate: tuple[tuple[Decimal, Decimal, Decimal], ...]
    net: Decimal
    vat: Decimal
    gross: Decimal


def vat_on(nets: Mapping[Decimal, Decimal]) -> VatTotals:
    """Return the sums of a document from its net totals by rate in per cent."""
    rows = tuple(
        (rate, net, round_vat(net, rate)) for rate, net in sorted(nets.items(), reverse=True)
    )
    net = sum((row[1] for row in rows), ZERO)
    vat = sum((row[2] for row in rows), ZERO)
    return VatTotals(rows, net, vat, net + vat)


def deposit_of(gross: Decimal, percent: Decimal) -> Decimal:
    """Return the deposit asked for: a share of the price with VAT, in whole pence, half up."""
    return round_line(gross * percent / 100)
