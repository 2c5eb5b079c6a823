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
class Counted:
    """What a change comes to in the price of its job: the price with VAT before it, its parts."""

    before: Decimal
    net: Decimal
    vat: Decimal

    @property
    def gross(self) -> Decimal:
        """The change with VAT."""
        return self.net + self.vat

    @property
    def after(self) -> Decimal:
        """The job's price with VAT once the change is in it."""
        return self.before + self.gross


def count_in(
    net: Decimal, *, net_before: Decimal, vat_before: Decimal, rate_percent: Decimal
) -> Counted:
    """Return what a change of `net` brings to a job that stands at `net_before` and `vat_before`.

    VAT is that on the job's new total, once and half up, less what the job bears already; so the
    quote and its changes come to the VAT on their sum in whatever order they are accepted. Two
    changes that were open at once were each shown the VAT as if it came next: the one accepted
    later may come out a penny higher or lower than it was shown, never more.
    """
    vat = round_vat(net_before + net, rate_percent) - vat_before
    return Counted(before=net_before + vat_before, net=net, vat=vat)


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
