"""From lines to a price: cost, overhead, floor, margin, VAT. All sums in whole pence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from jobs.billing.rules import vat_on
from jobs.kernel.money import ZERO, share_out
from quotes.pricebook.rules import margin_in, overhead_on, price_at
from quotes.quoting.enums import VatCode

POUND = Decimal(1)


@dataclass(frozen=True)
class Priced:
    """What a line brings into the reckoning: its cost, a typed price, whether it is an option."""

    direct: Decimal
    fixed: Decimal | None = None
    option: bool = False


@dataclass(frozen=True)
class Reckoning:
    """A quote's sums, and the price before VAT of each line in the order given.

    Options are priced and not counted: the sums are those of the quote without them.
    """

    direct: Decimal
    overhead: Decimal
    net: Decimal
    vat: Decimal
    gross: Decimal
    line_nets: tuple[Decimal, ...]

    @property
    def floor(self) -> Decimal:
        """Below this price before VAT the job loses money."""
        return self.direct + self.overhead

    @property
    def margin(self) -> Decimal:
        """What is left of the price after direct cost and overhead."""
        return self.net - self.floor

    @property
    def margin_share(self) -> Decimal | None:
        """The margin as % of the price; None where there is no price."""
        return margin_in(self.net, self.floor)


def vat_rate(code: str, percent: Decimal) -> Decimal:
    """Return the rate that is added to the price: none at zero rate or under reverse charge."""
    return ZERO if code in {VatCode.ZERO, VatCode.REVERSE} else percent


def reckon(
    lines: Sequence[Priced],
    *,
    overhead_percent: Decimal,
    margin_percent: Decimal,
    vat_code: str,
    vat_percent: Decimal,
    minimum: Decimal = ZERO,
) -> Reckoning:
    """Price a quote's lines.

    Lines without a typed price together cost floor / (1 − margin), rounded once, and that price is
    shared out over them by their cost to the penny. Typed prices stand as typed. Where all of it
    before discounts is below `minimum`, the reckoned lines are raised to make it up. An option
    costs whole pounds, so that options and VAT add up in any choice of them.
    """
    counted = [line for line in lines if not line.option]
    direct = sum((line.direct for line in counted), ZERO)
    overhead = overhead_on(direct, overhead_percent)
    reckoned = [line for line in counted if line.fixed is None]
    fixed = sum((line.fixed for line in counted if line.fixed is not None), ZERO)
    own = sum((line.direct for line in reckoned), ZERO)
    price = price_at(own + overhead_on(own, overhead_percent), margin_percent)
    typed = sum((line.fixed for line in counted if line.fixed and line.fixed > 0), ZERO)
    if reckoned:
        price = max(price, minimum - typed)
    weights = [line.direct for line in reckoned] if own else [Decimal(1)] * len(reckoned)
    shares = iter(share_out(price, weights) if reckoned else ())
    nets = tuple(
        _option(line, overhead_percent, margin_percent)
        if line.option
        else (next(shares) if line.fixed is None else line.fixed)
        for line in lines
    )
    totals = vat_on({vat_rate(vat_code, vat_percent): (price if reckoned else ZERO) + fixed})
    return Reckoning(direct, overhead, totals.net, totals.vat, totals.gross, nets)


def _option(line: Priced, overhead_percent: Decimal, margin_percent: Decimal) -> Decimal:
    if line.fixed is not None:
        return line.fixed
    floor = line.direct + overhead_on(line.direct, overhead_percent)
    price = price_at(floor, margin_percent)
    return price.quantize(POUND, rounding=ROUND_CEILING).quantize(Decimal("0.01"))


def with_options(
    net: Decimal, options: Sequence[Decimal], rate_percent: Decimal
) -> tuple[Decimal, Decimal, Decimal]:
    """Return (net, VAT, gross) of a quote with the options taken; VAT once on the whole."""
    totals = vat_on({rate_percent: net + sum(options, ZERO)})
    return totals.net, totals.vat, totals.gross
