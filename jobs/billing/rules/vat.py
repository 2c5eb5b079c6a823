"""VAT by rate on the document's total, half up; and the VAT inside an amount received."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from jobs.billing.enums import VatCode
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO, round_line, round_vat, share_out

HUNDRED = Decimal(100)


@dataclass(frozen=True)
class RateSum:
    """Net and VAT of one rate in per cent."""

    rate: Decimal
    net: Decimal
    vat: Decimal

    @property
    def gross(self) -> Decimal:
        return self.net + self.vat


class SummedByRate:
    """Net, VAT and gross of whatever holds `rates`."""

    rates: tuple[RateSum, ...]

    @property
    def net(self) -> Decimal:
        return sum((row.net for row in self.rates), ZERO)

    @property
    def vat(self) -> Decimal:
        return sum((row.vat for row in self.rates), ZERO)

    @property
    def gross(self) -> Decimal:
        return self.net + self.vat


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


def percent_of(code: str) -> Decimal:
    """Return the rate of a VAT code in per cent."""
    return VatCode.PERCENT[VatCode(code).value]


def code_of(rate: Decimal) -> VatCode:
    """Return the code of a rate in per cent; ServiceError for a rate that there is not."""
    for code in VatCode:
        if VatCode.PERCENT[code.value] == rate:
            return code
    raise ServiceError(f"There is no VAT rate of {rate.normalize():f} %; use 20, 5 or 0.")


def check_evidence(rates: Mapping[Decimal, Decimal], reason: str, document: object) -> None:
    """Refuse a rate other than the standard one without its reason and its document."""
    for rate, net in rates.items():
        if not net or code_of(rate) not in VatCode.NEEDS_DOCUMENT:
            continue
        if not reason.strip():
            raise ServiceError(
                f"VAT at {rate.normalize():f} % needs its reason.", field="vat_reason"
            )
        if document is None:
            raise ServiceError(
                f"VAT at {rate.normalize():f} % needs the document that shows why.",
                field="vat_document",
            )


def included_vat(gross: Decimal, rate: Decimal) -> Decimal:
    """Return the VAT inside an amount that includes it: the VAT fraction, half up.

    At 20 % the fraction is 1/6, at 5 % it is 1/21 (HMRC, VAT Notice 700, memory).
    """
    return round_line(gross * rate / (HUNDRED + rate))


def split_received(
    amount: Decimal, left: Mapping[Decimal, RateSum], *, reverse_charge: bool = False
) -> tuple[RateSum, ...]:
    """Return net and VAT by rate of `amount` received towards what is `left` to invoice.

    The money is shared over the rates as their gross amounts stand, with the VAT fraction of each.
    Money that settles all that is left of a rate takes net and VAT just as they are left, so that
    the last document takes the remainder.
    Under reverse charge no VAT is in the money. Refuses (ServiceError) nothing, and more than is
    left.
    """
    owed = {
        rate: row.net if reverse_charge else row.gross
        for rate, row in sorted(left.items(), reverse=True)
        if (row.net if reverse_charge else row.gross) > 0
    }
    whole = sum(owed.values(), ZERO)
    if amount <= 0:
        raise ServiceError("There is no money to invoice.", field="amount")
    if amount > whole:
        raise ServiceError(
            f"Only £{whole:,.2f} of what was agreed is not invoiced yet; a variation or a credit "
            "note must come first.",
            code="more_than_agreed",
        )
    found = []
    parts = share_out(amount, list(owed.values()))
    for rate, part in zip(owed, parts, strict=True):
        if part:
            vat = ZERO if reverse_charge else _vat_inside(part, left[rate])
            found.append(RateSum(rate, part - vat, vat))
    return tuple(found)


def _vat_inside(part: Decimal, left: RateSum) -> Decimal:
    """Return the VAT in a part of what is left at a rate; neither net nor VAT go beyond what is.

    So the part that takes all that is left takes net and VAT just as they are.
    """
    return min(max(included_vat(part, left.rate), part - left.net), left.vat)
