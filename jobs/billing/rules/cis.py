"""Deductions under the Construction Industry Scheme, both ways: suffered by us, made by us.

Source: GOV.UK, 'What you must do as a Construction Industry Scheme (CIS) contractor: make
deductions and pay subcontractors'. No tax advice.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from jobs.kernel.errors import ServiceError
from jobs.kernel.money import ZERO, round_line

# Registered, not registered, paid gross.
RATES = (Decimal(20), Decimal(30), Decimal(0))
STATEMENT_DAYS = 14
PAY_BY_POST, PAY_ELECTRONICALLY = 19, 22


@dataclass(frozen=True)
class Excluded:
    """What a payment holds besides labour, as it truly cost without VAT.

    Travel is not among them: the deduction is taken on it.
    """

    materials: Decimal = ZERO
    consumables: Decimal = ZERO
    fuel: Decimal = ZERO
    plant_hire: Decimal = ZERO
    prefabrication: Decimal = ZERO

    @property
    def total(self) -> Decimal:
        return self.materials + self.consumables + self.fuel + self.plant_hire + self.prefabrication


@dataclass(frozen=True)
class Deduction:
    """A payment under CIS: what the tax is taken on, the tax, and what is paid out."""

    gross: Decimal
    vat: Decimal
    excluded: Decimal
    taxed: Decimal
    percent: Decimal
    tax: Decimal

    @property
    def paid(self) -> Decimal:
        return self.gross - self.tax


def deduct(*, gross: Decimal, vat: Decimal, excluded: Excluded, percent: Decimal) -> Deduction:
    """Return the deduction from a payment of `gross` (VAT in it) at `percent`.

    The tax is taken on gross less VAT less what materials and the like truly cost without VAT; in
    whole pence, half up. Refuses (ServiceError) a rate other than 20, 30 or 0 %, costs below
    nothing, and costs beyond the payment without VAT.
    """
    if percent not in RATES:
        raise ServiceError("The rate of CIS is 20, 30 or 0 %.", field="cis_percent")
    parts = (excluded.materials, excluded.consumables, excluded.fuel, excluded.plant_hire)
    if min(*parts, excluded.prefabrication) < 0:
        raise ServiceError("Give what materials cost as nothing or more.", field="materials")
    taxed = gross - vat - excluded.total
    if taxed < 0:
        raise ServiceError(
            f"Materials cannot cost more than the £{gross - vat:,.2f} before VAT.",
            field="materials",
        )
    tax = round_line(taxed * percent / 100)
    return Deduction(gross, vat, excluded.total, taxed, percent, tax)


def tax_month_end(day: date) -> date:
    """Return the last day of the tax month of a payment: the 5th, on or after the day."""
    if day.day <= 5:
        return day.replace(day=5)
    first_of_next = (day.replace(day=1) + timedelta(days=32)).replace(day=1)
    return first_of_next.replace(day=5)


def statement_due(paid_on: date) -> date:
    """Return the last day for the subcontractor's statement: 14 days after the tax month."""
    return tax_month_end(paid_on) + timedelta(days=STATEMENT_DAYS)


def payment_due(paid_on: date, *, electronic: bool, is_banking_day: Callable[[date], bool]) -> date:
    """Return the last day for paying the deduction over: the 19th, or the 22nd electronically.

    Where the 22nd is no banking day the money must be there on the one before.
    """
    end = tax_month_end(paid_on)
    if not electronic:
        return end.replace(day=PAY_BY_POST)
    day = end.replace(day=PAY_ELECTRONICALLY)
    while not is_banking_day(day):
        day -= timedelta(days=1)
    return day
