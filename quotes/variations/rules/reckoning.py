"""From changed lines to a change of price; all sums in whole pence, below nought where it falls."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from jobs.kernel.money import ZERO, round_vat
from quotes.pricebook.rules import overhead_on, price_at


@dataclass(frozen=True)
class Priced:
    """What a line brings: its cost, and its price where it is agreed or typed."""

    direct: Decimal
    net: Decimal | None = None


@dataclass(frozen=True)
class Reckoning:
    """A variation's sums, and the price before VAT of each line in the order given."""

    direct: Decimal
    overhead: Decimal
    net: Decimal
    vat: Decimal
    gross: Decimal
    line_nets: tuple[Decimal, ...]


def reckon(
    lines: Sequence[Priced],
    *,
    charges: Decimal,
    net_before: Decimal,
    overhead_percent: Decimal,
    margin_percent: Decimal,
    rate_percent: Decimal,
) -> Reckoning:
    """Price a variation's lines with the quote's own overhead and margin.

    A line with a price keeps it; another costs floor / (1 − margin), rounded by itself. `charges`
    pass through at what they cost. The VAT is what that on the job's whole net changes by, so that
    the quote and its variations come to the VAT on their sum.
    """
    nets = tuple(
        line.net
        if line.net is not None
        else price_at(line.direct + overhead_on(line.direct, overhead_percent), margin_percent)
        for line in lines
    )
    own = sum((line.direct for line in lines), ZERO)
    net = sum(nets, ZERO) + charges
    vat = round_vat(net_before + net, rate_percent) - round_vat(net_before, rate_percent)
    return Reckoning(
        direct=own + charges, overhead=overhead_on(own, overhead_percent), net=net, vat=vat,
        gross=net + vat, line_nets=nets,
    )  # fmt: skip
