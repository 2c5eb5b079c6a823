"""Changing what a draft is reckoned with, and its words."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction

from jobs.attachments.models import Attachment
from jobs.attachments.rules import CheckedFile
from jobs.attachments.services import post_attachment
from jobs.audit.services import changes, post_event
from jobs.customers.models import Customer
from jobs.kernel.errors import ServiceError
from quotes.quoting.enums import VatCode
from quotes.quoting.models import Revision
from quotes.quoting.queries import pace_of_survey
from quotes.quoting.services.drafts import lock_draft, recompute
from quotes.takeoff.queries import take_off

TERMS = (
    "overhead_percent", "margin_percent", "deposit_percent", "vat_code", "vat_percent",
    "vat_reason", "valid_until", "discount_percent", "discount_fixed", "crew_size",
)  # fmt: skip
WORDS = ("message", "exclusions", "terms")
NEEDS_DOCUMENT = (VatCode.REDUCED, VatCode.ZERO)
MOST_PEOPLE = 20
# Held by those who write, send or cost quotes, and by nobody else.
SEE = "jobs.see_billing"


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

    Refuses a margin of 100 % or more, another VAT rate without its reason or its document, reverse
    charge for a customer to whom it does not apply, and two discounts at once.
    """
    revision = lock_draft(revision_id, version)
    before, after = changes(revision, {k: v for k, v in values.items() if k in TERMS})
    for name, value in after.items():
        setattr(revision, name, value)
    check_terms(revision, revision.quote.job.customer)
    if "crew_size" in after:
        revision.pace_m2 = pace_of_survey(take_off(revision.survey), revision.crew_size)
    recompute(revision)
    post_event(
        verb="change terms", subject=revision, by=by, at=at, before=before, after=after
    )  # fmt: skip
    return revision


def check_terms(revision: Revision, customer: Customer) -> None:
    """Refuse terms that cannot stand; sending asks again, since a customer's page may change."""
    if not 0 <= revision.margin_percent < 100:
        raise ServiceError(
            "The margin is a share of the price: from 0 to less than 100 %.",
            field="margin_percent",
        )
    if revision.vat_code != VatCode.STANDARD and not revision.vat_reason.strip():
        raise ServiceError(
            "Another rate needs its reason and the document that shows it.", field="vat_reason"
        )
    if revision.vat_code in NEEDS_DOCUMENT and not _document(revision):
        raise ServiceError(
            "Attach the document that shows why another rate applies, then choose the rate.",
            field="vat_code", code="vat_document",
        )  # fmt: skip
    if revision.discount_percent and revision.discount_fixed:
        raise ServiceError(
            "Give the discount as a share or as a sum, not both.", field="discount_fixed"
        )
    if not 0 <= revision.discount_percent <= 100 or revision.discount_fixed < 0:
        raise ServiceError("A discount is a share up to 100 %, or a sum.", field="discount_percent")
    if not 1 <= revision.crew_size <= MOST_PEOPLE:
        raise ServiceError(f"Give 1 to {MOST_PEOPLE} people.", field="crew_size")
    if revision.valid_until and revision.valid_until < revision.priced_on:
        raise ServiceError("The quote must hold at least for the day.", field="valid_until")
    if revision.vat_code == VatCode.REVERSE:
        _check_reverse(customer)


def _document(revision: Revision) -> bool:
    """Return whether the document of the VAT rate is attached and was not taken off since."""
    uid = revision.vat_document
    return uid is not None and Attachment.objects.filter(uid=uid, removed_at=None).exists()


@transaction.atomic(durable=True)
def attach_vat_document(
    *, revision_id: int, kept: CheckedFile, by: Any, at: datetime
) -> Attachment:
    """Attach what shows why another VAT rate applies; it lies with the job's papers."""
    revision = lock_draft(revision_id)
    attachment = post_attachment(
        kept=kept, about=revision.quote.job, permission=SEE, by=by, at=at,
        caption="shows the VAT rate of the quote",
    )  # fmt: skip
    before = revision.vat_document
    revision.vat_document = attachment.uid
    revision.version += 1
    revision.save(update_fields=["vat_document", "version"])
    post_event(
        verb="attach VAT document", subject=revision, by=by, at=at,
        before={"document": before}, after={"document": attachment.uid, "name": attachment.name},
    )  # fmt: skip
    return attachment


@transaction.atomic(durable=True)
def note_sample(
    *,
    revision_id: int,
    blend_id: int | None,
    shown_on: date | None,
    signed_by: str,
    by: Any,
    at: datetime,
    version: int | None = None,
) -> Revision:
    """Note which sample the customer was shown, when, and who signed it; no blend: none."""
    revision = lock_draft(revision_id, version)
    if blend_id is not None and shown_on is None:
        raise ServiceError("Give the day on which it was shown.", field="shown_on")
    values = {
        "sample_blend_id": blend_id,
        "sample_shown_on": shown_on if blend_id else None,
        "sample_signed_by": signed_by.strip()[:120] if blend_id else "",
    }
    before, after = changes(revision, values)
    for name, value in values.items():
        setattr(revision, name, value)
    revision.version += 1
    revision.save()
    post_event(verb="note sample", subject=revision, by=by, at=at, before=before, after=after)
    return revision


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
