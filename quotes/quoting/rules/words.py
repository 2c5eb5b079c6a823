"""Words that a new quote begins with; the firm changes them as it needs. No legal advice."""

from __future__ import annotations

from decimal import Decimal

from jobs.billing.rules import WORDING
from quotes.quoting.enums import VatCode

EXCLUSIONS = """\
Work to drains, services, walls and thresholds beyond what is listed.
Ground that turns out soft or filled: we stop, show it to you and agree the extra work first.
Removal of tarmac that holds coal tar; it is tested before it is dug."""

TERMS = """\
The price holds until the day given above, for the areas and depths shown.
Laying needs a dry, frost-free day. If the weather takes the day, we move it and tell you at once.
The surface must be kept clear of feet and wheels for the times we give you on the day.
Stone is a natural material: its shade varies from the sample, and from one delivery to the next.
A provisional sum is settled by what the work really comes to, shown to you with its bills.
It is paid in the stages shown above; each is asked for in writing, with its day."""

# Of a quote without surfacing.
SMALL_EXCLUSIONS = """\
Anything that is not listed above: we show it to you and agree it before we do it."""

SMALL_TERMS = """\
The price holds until the day given above, for the work listed.
A provisional sum is settled by what the work really comes to, shown to you with its bills.
It is paid in the stages shown above; each is asked for in writing, with its day."""


def vat_words(code: str, percent: Decimal, reason: str = "") -> str:
    """Return the line that stands by the VAT of a quote."""
    rate = f"{percent.normalize():f} %"
    if code == VatCode.REVERSE:
        return f"{WORDING} The VAT at {rate} is not part of this price."
    if code == VatCode.ZERO:
        return f"VAT at 0 %: {reason}"
    return f"VAT at {rate}" + (f": {reason}" if code == VatCode.REDUCED else "")


def discount_words(percent: Decimal) -> str:
    """Return the words of the discount's line."""
    return f"Discount of {percent.normalize():f} %" if percent else "Discount"
