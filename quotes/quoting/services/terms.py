"""Changing what a draft is reckoned with, and its words."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.db import transaction

from jobs.audit.services import changes, post_event
from jobs.customers.models import Customer
from jobs.kernel.errors import ServiceError
from quotes.quoting.enums import VatCode
from quotes.quoting.models import Revision
from quotes.quoting.services.drafts import lock_draft, recompute

TERMS = (
    "overhead_percent", "margin_percent", "deposit_percent", "vat_code", "vat_percent",
    "vat_reason", "valid_until",
)  # fmt: skip
WORDS = ("message", "exclusions", "terms")


@transaction.atomic(durable=True)
def change_terms(
    *,
    revision_id: int,
    values: Mapping[str, Any],
    by: Any,
    at: datetime,
    version: int | None = None,
) -> Revision:
    """Change overhead, margin, deposit, VAT or validity of a draft and work it out again.

    Refuses a margin of 100 % or more, another VAT rate without its reason, and reverse charge for
    a customer to whom it does not apply.
    """
    revision = lock_draft(revision_id, version)
    before, after = changes(revision, {k: v for k, v in values.items() if k in TERMS})
    for name, value in after.items():
        setattr(revision, name, value)
    _check(revision, revision.quote.job.customer)
    recompute(revision)
    post_event(
        verb="change terms", subject=revision, by=by, at=at, before=before, after=after
    )  # fmt: skip
    return revision


def _check(revision: Revision, customer: Customer) -> None:
    if not 0 <= revision.margin_percent < 100:
        raise ServiceError(
            "The margin is a share of the price: from 0 to less than 100 %.",
            field="margin_percent",
        )
    if revision.vat_code != VatCode.STANDARD and not revision.vat_reason.strip():
        raise ServiceError(
            "Another rate needs its reason and the document that shows it.", field="vat_reason"
        )
    if revision.valid_until and revision.valid_until < revision.priced_on:
        raise ServiceError("The quote must hold at least for the day.", field="valid_until")
    if revision.vat_code == VatCode.REVERSE:
        _check_reverse(customer)


def _check_reverse(customer: Customer) -> None:
    """Reverse charge: VAT registered, reports under CIS, no end user in writing (VAT Act s55A)."""
    if customer.is_consumer:
        raise ServiceError(
            "Reverse charge never applies to a household; it pays the VAT.", field="vat_code"
        )
    lacking = [
        words
        for words, missing in (
            ("a VAT number", not customer.vat_number),
            ("reporting under CIS", not customer.reports_under_cis),
        )
        if missing
    ]
    if lacking:
        raise ServiceError(
            f"Reverse charge needs {' and '.join(lacking)} on the customer's page.",
            field="vat_code",
        )
    if customer.end_user_confirmed:
        raise ServiceError(
            "The customer confirmed in writing to be an end user: no reverse charge.",
            field="vat_code",
        )


@transaction.atomic(durable=True)
def change_words(
    *,
    revision_id: int,
    values: Mapping[str, str],
    by: Any,
    at: datetime,
    version: int | None = None,
) -> Revision:
    """Change the message, the exclusions or the terms of a draft."""
    revision = lock_draft(revision_id, version)
    before, after = changes(revision, {k: v for k, v in values.items() if k in WORDS})
    for name, value in after.items():
        setattr(revision, name, value)
    revision.version += 1
    revision.save()
    post_event(
        verb="change words", subject=revision, by=by, at=at,
        before=dict.fromkeys(before, "…"), after=dict.fromkeys(after, "…"),
    )  # fmt: skip
    return revision
