"""From lines to a price: cost, overhead, floor, margin, VAT. All sums in whole pence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from jobs.billing.rules import vat_on
from jobs.kernel.money import ZERO, round_line, share_out
from quotes.pricebook.rules import margin_in, overhead_on, price_at
from quotes.quoting.enums import VatCode

POUND = Decimal(1)


@dataclass(frozen=True)
class Priced:
    """What a line brings into the reckoning: its cost, a typed price, whether it is an option.

    later: settled by what it comes to, so no discount is on it. own: 'minimum' or 'discount', a
    line that the reckoning itself fills.
    """

    direct: Decimal
    fixed: Decimal | None = None
    option: bool = False
    later: bool = False
    own: str = ""

    @property
    def counted(self) -> bool:
        """Whether it brings work into the price."""
        return not self.option and not self.own


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
    # What the price is made up by to the least of a job, where no line is reckoned from its cost.
    made_up: Decimal = ZERO
    discount: Decimal = ZERO

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
    discount_percent: Decimal = ZERO,
    discount_fixed: Decimal = ZERO,
) -> Reckoning:
    """Price a quote's lines.

    Lines without a typed price together cost floor / (1 − margin), rounded once, and that price is
    shared out over them by their cost to the penny. Typed prices stand as typed. Where all of it
    before discounts is below `minimum`, the reckoned lines are raised to make it up; where all
    prices are typed, `made_up` is what lacks. The discount is a share of all but what is settled
    later, or a sum. An option costs whole pounds, so that options and VAT add up in any choice of
    them. `made_up` and `discount` stand in the lines of their `own`, which the caller keeps.
    """
    # long because: the whole order of the reckoning is read in one place
    counted = [line for line in lines if line.counted]
    direct = sum((line.direct for line in counted), ZERO)
    overhead = overhead_on(direct, overhead_percent)
    reckoned = [line for line in counted if line.fixed is None]
    fixed = sum((line.fixed for line in counted if line.fixed is not None), ZERO)
    own = sum((line.direct for line in reckoned), ZERO)
    price = price_at(own + overhead_on(own, overhead_percent), margin_percent)
    typed = sum((line.fixed for line in counted if line.fixed and line.fixed > 0), ZERO)
    if reckoned:
        price = max(price, minimum - typed)
    made_up = max(ZERO, minimum - typed) if counted and not reckoned else ZERO
    shares = iter(_shares(price, reckoned))
    nets = [
        _option(line, overhead_percent, margin_percent)
        if line.option
        else (next(shares) if line.fixed is None and line.counted else line.fixed or ZERO)
        for line in lines
    ]
    sure = sum(
        (net for net, line in zip(nets, lines, strict=True) if line.counted and not line.later),
        made_up,
    )
    discount = discount_fixed or max(ZERO, round_line(sure * discount_percent / 100))
    of_own = {"minimum": made_up, "discount": -discount}
    line_nets = tuple(
        of_own.get(line.own, net) for net, line in zip(nets, lines, strict=True)
    )  # fmt: skip
    net = (price if reckoned else ZERO) + fixed + made_up - discount
    totals = vat_on({vat_rate(vat_code, vat_percent): net})
    return Reckoning(
        direct, overhead, totals.net, totals.vat, totals.gross, line_nets, made_up, discount
    )


def _shares(price: Decimal, reckoned: Sequence[Priced]) -> Sequence[Decimal]:
    """Share a price out over the lines by their cost, evenly where none costs anything."""
    if not reckoned:
        return ()
    weights = [line.direct for line in reckoned]
    return share_out(price, weights if any(weights) else [Decimal(1)] * len(reckoned))


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
