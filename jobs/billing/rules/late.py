"""Late payment between businesses: interest and the fixed sum. It never applies to a consumer.

Sources: GOV.UK, 'Late commercial payments: charging interest and debt recovery' (rate, worked
example with the daily rate rounded to the penny first); Late Payment of Commercial Debts
(Interest) Act 1998, section 5A (fixed sums). No legal advice.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from jobs.kernel.errors import ServiceError
from jobs.kernel.money import round_line

OVER_BASE = Decimal(8)
DAYS_OF_A_YEAR = 365
# Below this debt, this sum; the last for all above.
FIXED_SUMS = ((Decimal(1000), Decimal(40)), (Decimal(10_000), Decimal(70)))
FIXED_SUM_ABOVE = Decimal(100)
USUAL_TERM_DAYS, FAIR_TERM_DAYS = 30, 60
NO_ADVICE = (
    "A reckoning, no legal advice. Interest and the fixed sum are for debts between businesses "
    "and public bodies only, and only where the contract has no remedy of its own; ask a solicitor "
    "before you claim."
)


@dataclass(frozen=True)
class LateClaim:
    """What may be claimed on a late debt: interest for each day, for all days, the fixed sum."""

    debt: Decimal
    rate: Decimal
    yearly: Decimal
    daily: Decimal
    days: int
    interest: Decimal
    fixed_sum: Decimal

    @property
    def total(self) -> Decimal:
        return self.debt + self.interest + self.fixed_sum


def base_rate_day(late_from: date) -> date:
    """Return the day whose base rate holds for a debt that became late then.

    The rate is fixed for each half-year: that of 31 December from January to June, that of
    30 June from July to December.
    """
    year = late_from.year
    return date(year, 6, 30) if late_from.month > 6 else date(year - 1, 12, 31)


def fixed_sum_of(debt: Decimal) -> Decimal:
    """Return the fixed sum for one late debt: £40, £70 from £1,000, £100 from £10,000."""
    return next((amount for below, amount in FIXED_SUMS if debt < below), FIXED_SUM_ABOVE)


def late_claim(
    *, debt: Decimal, base_rate: Decimal, due_on: date, until: date, consumer: bool
) -> LateClaim:
    """Return interest at 8 % over base from the day after `due_on` to `until`, and the fixed sum.

    The daily interest is rounded to the penny, half up, and then multiplied by the days, as in the
    published example. Refuses (ServiceError) a consumer's debt and one that is not late.
    """
    if consumer:
        raise ServiceError("Interest for late payment is for businesses; not for a household.")
    if until <= due_on:
        raise ServiceError("It is not late yet.", field="until")
    if debt <= 0:
        raise ServiceError("Nothing is open.")
    if not 0 <= base_rate <= 100:
        raise ServiceError("Give the base rate in per cent, from 0 to 100.", field="base_rate")
    days = (until - due_on).days
    rate = OVER_BASE + base_rate
    yearly = debt * rate / 100
    daily = round_line(yearly / DAYS_OF_A_YEAR)
    return LateClaim(debt, rate, round_line(yearly), daily, days, daily * days, fixed_sum_of(debt))
