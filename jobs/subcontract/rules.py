"""Subcontractors under CIS: the rate of a day, the shape of a verification, the sums of a bill.

The deduction itself is billing's one calculator. Sources: GOV.UK, 'What you must do as a
Construction Industry Scheme (CIS) contractor'. The shape of a verification number and what a
statement says are from memory. No tax advice.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from jobs.billing.rules import Excluded, Supply, Verdict, decide, is_utr, tax_month_end
from jobs.billing.rules.numbers import bare
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO, round_vat

NO_ADVICE = (
    "A reckoning by the published rules, no tax advice. HMRC's own answer to a verification and "
    "your accountant decide."
)
UNVERIFIED = Decimal(30)
FIRST_YEAR, LAST_YEAR = 2007, 2199
# How far the VAT of a bill may be from that on its total: a bill may round by line.
VAT_SLACK = Decimal("0.05")
VERIFICATION = re.compile(r"V\d{10}(/?[A-Z]{1,2})?", re.ASCII)
KINDS = ("materials", "consumables", "fuel", "plant_hire", "prefabrication")


@dataclass(frozen=True)
class Verified:
    """One verification as a plain value."""

    pk: int
    percent: Decimal
    reference: str
    verified_on: date


@dataclass(frozen=True)
class Rate:
    """The rate of a day in per cent and why; `verification` None: not verified by then."""

    percent: Decimal
    why: str
    verification: int | None = None
    reference: str = ""


def rate_on(verifications: Iterable[Verified], day: date) -> Rate:
    """Return the rate of the latest verification of that day or before; 30 % where there is none.

    Of two of one day the later recorded holds.
    """
    known = [row for row in verifications if row.verified_on <= day]
    if not known:
        return Rate(UNVERIFIED, "not verified with HMRC by that day: 30 %")
    last = max(known, key=lambda row: (row.verified_on, row.pk))
    rate = last.percent.normalize()
    why = "paid gross" if not last.percent else f"{rate:f} %"
    return Rate(
        last.percent, f"{why}, verified {last.verified_on:%-d %b %Y}, {last.reference}", last.pk,
        last.reference,
    )  # fmt: skip


def check_verification(text: str) -> str:
    """Return a verification number as V, ten digits and, where it has them, a stroke and letters.

    Refuses (ServiceError) another shape; whether HMRC gave it to anybody is not looked up.
    """
    word = re.sub(r"[\s.\-]", "", text).upper()
    if not VERIFICATION.fullmatch(word):
        raise ServiceError(
            f"'{text}' is not a verification number: V and ten digits, and for 30 % a stroke and "
            "one or two letters, as V0123456789/AB.",
            field="reference",
        )
    letters = word[11:].lstrip("/")
    return f"{word[:11]}/{letters}" if letters else word


def check_utr(text: str) -> str:
    """Return a unique taxpayer reference as ten digits; '' for none; ServiceError otherwise."""
    if not text.strip():
        return ""
    if not is_utr(text):
        raise ServiceError(
            f"'{text}' is not a unique taxpayer reference: ten digits, the first of which fits "
            "the others.",
            field="utr",
        )
    return bare(text).removesuffix("K")


def number_key(number: str) -> str:
    """Return a bill's number without case, spaces and points, as one compares it."""
    return re.sub(r"[\s.]", "", number).casefold()[:40]


def bill_verdict(*, supplier_vat: str, our_vat: str, rate: Decimal, billed_on: date) -> Verdict:
    """Return whether a bill to us falls under the reverse charge, with reasons in our words.

    We are neither end user nor intermediary: what we buy in is part of what we sell on.
    """
    found = decide(
        Supply(
            supplier_registered=bool(supplier_vat), customer_registered=bool(our_vat),
            consumer=False, reported_under_cis=True, rate=rate, employment_business=False,
            end_user_confirmed=False, supply_on=billed_on,
        )
    )  # fmt: skip
    ours = {
        "we are not registered for VAT": "the subcontractor has no VAT number",
        "the customer has no VAT number": "we are not registered for VAT",
        "the customer has not confirmed in writing that he is end user or intermediary":
            "we are neither end user nor intermediary",
    }  # fmt: skip
    return Verdict(found.applies, tuple(ours.get(words, words) for words in found.reasons))


@dataclass(frozen=True)
class BillSum:
    """What a bill is made of; `vat` is what he charges, `reverse_vat` what we account for."""

    labour: Decimal
    excluded: Excluded
    vat: Decimal
    reverse_vat: Decimal

    @property
    def net(self) -> Decimal:
        return self.labour + self.excluded.total

    @property
    def gross(self) -> Decimal:
        return self.net + self.vat


def sum_bill(
    *, labour: Decimal, excluded: Excluded, rate: Decimal, vat: Decimal, reverse_charge: bool
) -> BillSum:
    """Return the sums of a bill as he wrote it.

    Refuses (ServiceError) parts below nothing, a bill of nothing, VAT charged under the reverse
    charge, and VAT further than 5p from that on the total.
    """
    if labour < 0 or min(getattr(excluded, kind) for kind in KINDS) < 0:
        raise ServiceError("Give each part of the bill as nothing or more.", field="labour")
    net = labour + excluded.total
    if net <= 0:
        raise ServiceError("The bill comes to nothing.", field="labour")
    due = round_vat(net, rate)
    if reverse_charge:
        if vat:
            raise ServiceError("Under the reverse charge his bill charges no VAT.", field="vat")
        return BillSum(labour, excluded, ZERO, due)
    if abs(vat - due) > VAT_SLACK:
        raise ServiceError(
            f"VAT at {rate.normalize():f} % on £{net:,.2f} is £{due:,.2f}, not £{vat:,.2f}. Look "
            "at the bill again, or ask him for one that adds up.",
            field="vat",
        )
    return BillSum(labour, excluded, vat, ZERO)


def month_of(text: str, today: date) -> date:
    """Return the tax month's last day that `text` names, or that of today where it names none."""
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return tax_month_end(today)
    return tax_month_end(day) if is_tax_year(day) else tax_month_end(today)


def is_tax_year(day: date) -> bool:
    """Return whether the scheme can have been there that day: the present one began in 2007."""
    return FIRST_YEAR <= day.year <= LAST_YEAR


def month_start(end: date) -> date:
    """Return the 6th on which the tax month began."""
    return (end.replace(day=1) - timedelta(days=1)).replace(day=6)


def last_months(today: date, count: int = 13) -> Sequence[date]:
    """Return the ends of the tax months up to that of today, the latest first."""
    found, end = [], tax_month_end(today)
    for _ in range(count):
        found.append(end)
        end = (end.replace(day=1) - timedelta(days=1)).replace(day=5)
    return found


@dataclass(frozen=True)
class StatementRow:
    """One payment on a statement."""

    bill: str
    job: str
    paid_on: date
    net: Decimal
    excluded: Decimal
    taxed: Decimal
    percent: Decimal
    deduction: Decimal
    vat: Decimal
    paid: Decimal


@dataclass(frozen=True)
class Statement:
    """What one subcontractor was paid in one tax month and what was deducted."""

    contractor: str
    contractor_address: str
    employer_reference: str
    subcontractor: str
    address: str
    utr: str
    vat_number: str
    month_end: date
    rows: tuple[StatementRow, ...]
    references: tuple[str, ...]
    estimated: bool = False

    def _sum(self, name: str) -> Decimal:
        return sum((getattr(row, name) for row in self.rows), ZERO)

    @property
    def month_start(self) -> date:
        return month_start(self.month_end)

    @property
    def net(self) -> Decimal:
        """The gross amount of the payments, without VAT."""
        return self._sum("net")

    @property
    def excluded(self) -> Decimal:
        return self._sum("excluded")

    @property
    def taxed(self) -> Decimal:
        return self._sum("taxed")

    @property
    def deduction(self) -> Decimal:
        return self._sum("deduction")

    @property
    def vat(self) -> Decimal:
        return self._sum("vat")

    @property
    def paid(self) -> Decimal:
        return self._sum("paid")

    def missing(self) -> tuple[str, ...]:
        """Return what a statement must say and this one cannot; empty where it is whole."""
        higher = any(row.percent == UNVERIFIED for row in self.rows)
        asked = (
            (self.contractor, "our name"),
            (self.employer_reference, "our employer's tax reference"),
            (self.subcontractor, "his name"),
            (self.utr or higher, "his unique taxpayer reference"),
            (self.rows, "a payment"),
        )
        return tuple(words for given, words in asked if not given)
