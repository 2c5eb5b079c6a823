"""What a customer must say to accept, how long he may cancel, and the link's token; no rows."""

from __future__ import annotations

import hashlib
import re
import secrets
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from jobs.billing.rules import deposit_of
from jobs.kernel.clock import london_day
from jobs.kernel.money import ZERO
from jobs.kernel.templatetags.firm import day_year
from quotes.quoting.rules import QuoteSheet, SheetStage, of_sheet, sheet_stages, with_options

TOKEN_BYTES = 32  # 256 random bits
TOKEN = re.compile(r"[A-Za-z0-9_-]{43}\Z")
# Consumer Contracts Regulations 2013, regulation 30: fourteen days after the day of the contract
# (memory).
CANCELLATION_DAYS = 14
# Requests a minute from one network address.
MOST_A_MINUTE = 40
DEPOSIT_DAYS = 7
WITHOUT = "Without this it cannot be accepted."


def new_token() -> str:
    """Return a token that nobody can guess; it is told once, in the message."""
    return secrets.token_urlsafe(TOKEN_BYTES)


def hash_of(token: str) -> str:
    """Return what is kept of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def looks_like_token(text: str) -> bool:
    """Return whether a text can be a token at all, so that nonsense costs no query."""
    return TOKEN.match(text) is not None


@dataclass(frozen=True)
class Consent:
    """One thing the customer says by a tick: its name, its words, whether it must be said."""

    name: str
    words: str
    needed: bool = True


def consents_for(sheet: QuoteSheet) -> tuple[Consent, ...]:
    """Return what the customer is asked to say before the quote is his."""
    found = [Consent("terms", "I accept the quote with its terms and what is not in the price.")]
    if sheet.colour_areas:
        areas = ", ".join(sheet.colour_areas)
        found.append(
            Consent(
                "colour",
                f"I know that the resin of {areas} is not UV-stable and changes its colour "
                "outdoors.",
            )
        )
    if sheet.consumer:
        found.append(
            Consent(
                "begin_early",
                "I ask you to begin within the 14 days in which I may cancel. If I then cancel, I "
                "pay for what was done; once the work is finished, the right to cancel ends.",
                needed=False,
            )
        )
    return tuple(found)


def refusal(
    consents: Sequence[Consent], name: str, given: Mapping[str, object]
) -> tuple[str, str] | None:
    """Return why an answer cannot be taken, a sentence and its field; None when it can."""
    if not name.strip():
        return "Type your name.", "name"
    lacking = (each for each in consents if each.needed and given.get(each.name) is not True)
    return next(((WITHOUT, each.name) for each in lacking), None)


def said(consents: Sequence[Consent], given: Mapping[str, object]) -> dict[str, dict[str, object]]:
    """Return each thing asked, in its very words, with what was answered."""
    return {
        each.name: {"words": each.words, "given": given.get(each.name) is True} for each in consents
    }


def last_day_to_cancel(accepted_on: date) -> date:
    """Return the last day on which a consumer may cancel."""
    return accepted_on + timedelta(days=CANCELLATION_DAYS)


def day_of_contract(signed_on: date | None, at: datetime) -> date:
    """Return the day that is on the paper, or, without a paper's day, that of the answer."""
    return signed_on or london_day(at)


def signed_refusal(signed_on: date, *, sent_on: date, today: date) -> str:
    """Return why a paper cannot have been signed on a day; '' when it can."""
    if signed_on > today:
        return f"That day is still to come. Give today, {day_year(today)}, or a day before it."
    if signed_on < sent_on:
        return f"It was sent on {day_year(sent_on)}. Give that day or one after it."
    return ""


def total_with(
    sheet: QuoteSheet, options: Sequence[int]
) -> tuple[Decimal, Decimal, Decimal]:  # fmt: skip
    """Return (net, VAT, gross) with the options of these keys taken."""
    nets = [line.net for line in sheet.options if line.key in set(options)]
    return with_options(sheet.net, nets, sheet.vat_percent)


def stages_with(sheet: QuoteSheet, options: Sequence[int]) -> tuple[SheetStage, ...]:
    """Return the stages of the payment with the options of these keys taken.

    Shares follow the price, fixed amounts stay, the last stage takes the rest. () for a sheet that
    was kept before quotes had stages.
    """
    if not sheet.stages:
        return ()
    net = total_with(sheet, options)[0]
    return sheet_stages(net, sheet.vat_percent, of_sheet(sheet.stages))


def deposit_with(sheet: QuoteSheet, options: Sequence[int]) -> Decimal:
    """Return the deposit, with VAT, with the options of these keys taken."""
    stages = stages_with(sheet, options)
    if not stages:
        return deposit_of(total_with(sheet, options)[2], sheet.deposit_percent)
    return stages[0].gross if stages[0].deposit else ZERO
