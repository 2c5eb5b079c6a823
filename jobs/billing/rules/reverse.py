"""The domestic reverse charge for building work, decided by its conditions, with the reasons.

Source of the conditions: GOV.UK, 'How to use the VAT reverse charge if you supply building and
construction services'; of the wording: HMRC VATREVCON37100 and 37200. No legal advice.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

FIRST_DAY = date(2021, 3, 1)
WORDING = (
    "Reverse charge: section 55A VAT Act 1994 applies. "
    "The customer is to account for the VAT to HMRC."
)
NO_ADVICE = "This is how the program reckons. It is no legal or tax advice."


@dataclass(frozen=True)
class Supply:
    """What decides who accounts for the VAT on building work."""

    supplier_registered: bool
    customer_registered: bool
    consumer: bool
    reported_under_cis: bool
    rate: Decimal
    employment_business: bool
    end_user_confirmed: bool
    supply_on: date


@dataclass(frozen=True)
class Verdict:
    """Whether the reverse charge applies, and every reason for or against."""

    applies: bool
    reasons: tuple[str, ...]
    # Those of the reasons against it that no decision of ours overcomes.
    barred: tuple[str, ...] = ()


def decide(supply: Supply) -> Verdict:
    """Return whether the reverse charge applies; all conditions must hold.

    The reasons are those against it, or, where it applies, the conditions that were found to hold.
    """
    fixed = [
        (supply.supply_on >= FIRST_DAY, "the supply is before 1 March 2021"),
        (not supply.consumer, "a consumer pays the VAT, always"),
        (supply.supplier_registered, "we are not registered for VAT"),
        (supply.customer_registered, "the customer has no VAT number"),
        (supply.rate > 0, "the work is zero rated"),
        (not supply.employment_business, "we supply staff as an employment business"),
    ]
    stated = [
        (supply.reported_under_cis, "the payment is not reported under CIS"),
        (
            not supply.end_user_confirmed,
            "the customer has confirmed in writing that he is end user or intermediary",
        ),
    ]
    barred = tuple(sentence for holds, sentence in fixed if not holds)
    against = (*barred, *(sentence for holds, sentence in stated if not holds))
    if against:
        return Verdict(applies=False, reasons=against, barred=barred)
    return Verdict(
        applies=True,
        reasons=(
            "both are registered for VAT",
            "the payment is reported under CIS",
            f"the work is rated at {supply.rate.normalize():f} %",
            "the customer has not confirmed in writing that he is end user or intermediary",
        ),
    )
