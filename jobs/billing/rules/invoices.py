"""An invoice as a plain sheet, and what it must say.

Particulars: VAT Regulations 1995 (SI 1995/2518), regulation 14(1); of the simplified invoice,
regulation 16A. Not legal advice.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from jobs.billing.rules.vat import RateSum, SummedByRate
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO, round_line, round_vat

SIMPLIFIED_MOST = Decimal("250.00")


@dataclass(frozen=True)
class Party:
    """The particulars of the firm or of its customer, as they stood when the invoice was issued."""

    name: str
    address: str
    vat_number: str = ""
    utr: str = ""


@dataclass(frozen=True)
class InvoiceLine:
    """One line: quantity times unit price is the net, in whole pence, half up."""

    words: str
    quantity: Decimal
    unit: str
    unit_price: Decimal
    net: Decimal
    rate: Decimal


@dataclass(frozen=True)
class InvoiceSheet:
    """All that an invoice or credit note says; amounts of a credit note are below nought."""

    number: str
    kind: str
    title: str
    supply_on: date
    issued_on: date
    due_on: date | None
    supplier: Party
    customer: Party
    job: str
    order_number: str
    lines: tuple[InvoiceLine, ...]
    rates: tuple[RateSum, ...]
    net: Decimal
    vat: Decimal
    gross: Decimal
    reverse_charge: str = ""
    reverse_vat: Decimal = ZERO
    cis_percent: Decimal | None = None
    cis_materials: Decimal = ZERO
    cis_deduction: Decimal = ZERO
    paid: Decimal = ZERO
    credits: str = ""
    note: str = ""

    @property
    def is_simplified(self) -> bool:
        return self.kind == "simplified"

    @property
    def is_credit(self) -> bool:
        return self.kind == "credit"

    @property
    def to_pay(self) -> Decimal:
        """What is still to be paid: gross less what came in and what is kept back as CIS."""
        return self.gross - self.paid - self.cis_deduction


@dataclass(frozen=True)
class InvoiceDraft(SummedByRate):
    """What a new invoice is to say, before it has a number."""

    lines: tuple[InvoiceLine, ...]
    rates: tuple[RateSum, ...]
    reverse_charge: bool = False
    cis_percent: Decimal | None = None
    cis_materials: Decimal = ZERO
    note: str = ""


def one_line(words: str, net: Decimal, rate: Decimal) -> InvoiceLine:
    """Return a line for one sum."""
    return InvoiceLine(words, Decimal(1), "sum", net, net, rate)


def may_be_simplified(gross: Decimal, *, reverse_charge: bool = False) -> bool:
    """Return whether the short form will do: up to £250 with VAT, and no reverse charge."""
    return ZERO < gross <= SIMPLIFIED_MOST and not reverse_charge


def missing_particulars(sheet: InvoiceSheet) -> tuple[str, ...]:
    """Return what the regulations ask for and the sheet does not say; empty where it is whole."""
    asked: list[tuple[object, str]] = [
        (sheet.supplier.name, "our name"),
        (sheet.supplier.address, "our address"),
        (sheet.supplier.vat_number, "our VAT number"),
        (sheet.supply_on, "the time of supply"),
        (sheet.lines and all(line.words for line in sheet.lines), "a description"),
        (sheet.rates, "the rate of VAT"),
    ]
    if sheet.is_simplified:
        if not may_be_simplified(sheet.gross):
            asked.append(("", f"a full invoice, since it is above £{SIMPLIFIED_MOST}"))
        return tuple(words for given, words in asked if not given)
    asked += [
        (sheet.number, "a number of its own"),
        (sheet.issued_on, "the day of issue"),
        (sheet.customer.name, "the customer's name"),
        (sheet.customer.address, "the customer's address"),
        (all(line.unit for line in sheet.lines), "the unit of each line"),
        (all(line.quantity for line in sheet.lines), "the quantity of each line"),
        (not sheet.reverse_vat or "reverse charge" in sheet.reverse_charge.lower(),
         "the words 'reverse charge'"),
        (not sheet.reverse_vat or sheet.customer.vat_number, "the customer's VAT number"),
        (not sheet.is_credit or sheet.credits, "the invoice that is credited"),
    ]  # fmt: skip
    return tuple(words for given, words in asked if not given)


def disagreements(sheet: InvoiceSheet) -> tuple[str, ...]:
    """Return where a sheet's figures do not add up: lines, rates, totals, VAT."""
    found = [
        f"line '{line.words}': quantity times price is not its net"
        for line in sheet.lines
        if round_line(line.quantity * line.unit_price) != line.net
    ]
    nets: dict[Decimal, Decimal] = {}
    for line in sheet.lines:
        nets[line.rate] = nets.get(line.rate, ZERO) + line.net
    rates = {row.rate: row.net for row in sheet.rates}
    if {rate: net for rate, net in nets.items() if net} != {
        rate: net for rate, net in rates.items() if net
    }:
        found.append("the lines do not come to the net of each rate")
    if sum(rates.values(), ZERO) != sheet.net:
        found.append("the rates do not come to the net")
    if sum((row.vat for row in sheet.rates), ZERO) != sheet.vat:
        found.append("the rates do not come to the VAT")
    if sheet.net + sheet.vat != sheet.gross:
        found.append("net and VAT do not come to the gross")
    if sheet.reverse_charge and sheet.vat:
        found.append("VAT is charged although the customer accounts for it")
    return tuple(found)


def invoices_less(
    agreed: Mapping[Decimal, RateSum], invoiced: Mapping[Decimal, RateSum]
) -> dict[Decimal, RateSum]:
    """Return what is left to invoice by rate; below nought where more was invoiced than agreed."""
    zero = Decimal(0)
    found = {}
    for rate in {*agreed, *invoiced}:
        one = agreed.get(rate, RateSum(rate, zero, zero))
        other = invoiced.get(rate, RateSum(rate, zero, zero))
        found[rate] = RateSum(rate, one.net - other.net, one.vat - other.vat)
    return found


def credit_of(
    standing: Mapping[Decimal, RateSum],
    nets: Mapping[Decimal, Decimal] | None,
    *,
    reverse_charge: bool = False,
) -> tuple[RateSum, ...]:
    """Return the sums of a credit note, below nought, against what stands of an invoice.

    Without `nets` it is for all that stands. A part has VAT on its net, half up, never more than
    stands; a part that is all the net of a rate takes all its VAT. Refuses (ServiceError) nothing,
    a rate that the invoice has not, and more than stands.
    """
    wanted = {rate: row.net for rate, row in standing.items()} if nets is None else nets
    found = []
    for rate, net in sorted(wanted.items(), reverse=True):
        row = standing.get(rate)
        if net < 0:
            raise ServiceError("Give what is credited as an amount above nothing.", field="net")
        if row is None or net > row.net:
            most = row.net if row else ZERO
            raise ServiceError(
                f"Only £{most:,.2f} before VAT stands at {rate.normalize():f} %.",
                field="net", code="more_than_stands",
            )  # fmt: skip
        if net:
            vat = row.vat if net == row.net else min(round_vat(net, rate), row.vat)
            found.append(RateSum(rate, -net, ZERO if reverse_charge else -vat))
    if not found:
        raise ServiceError("Nothing of this invoice stands to be credited.", field="net")
    return tuple(found)


def sums_by_rate(rows: Sequence[RateSum]) -> dict[Decimal, RateSum]:
    """Return rows added by rate."""
    found: dict[Decimal, RateSum] = {}
    for row in rows:
        rate = Decimal(row.rate)
        known = found.get(rate, RateSum(rate, ZERO, ZERO))
        found[rate] = RateSum(rate, known.net + row.net, known.vat + row.vat)
    return found
