"""Changing what a draft is reckoned with, and its words."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from jobs.attachments.models import Attachment
from jobs.attachments.rules import CheckedFile
from jobs.attachments.services import post_attachment
from jobs.audit.services import changes, post_event
from jobs.billing.queries import reverse_verdict
from jobs.billing.rules import check_evidence, code_of, percent_of
from jobs.customers.models import Customer
from jobs.kernel.errors import ServiceError
from quotes.quoting.enums import VatCode
from quotes.quoting.models import Revision
from quotes.quoting.queries import pace_of_survey
from quotes.quoting.rules import check_plan, planned_stages, vat_rate
from quotes.quoting.services.drafts import lock_draft, recompute
from quotes.takeoff.queries import take_off

TERMS = (
    "overhead_percent", "margin_percent", "deposit_percent", "vat_code", "vat_percent",
    "vat_reason", "valid_until", "discount_percent", "discount_fixed", "crew_size",
)  # fmt: skip
WORDS = ("message", "exclusions", "terms")
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


def check_terms(revision: Revision, customer: Customer, *, sending: bool = False) -> None:
    """Refuse terms that cannot stand; sending asks again, since a customer's page may change."""
    if not 0 <= revision.margin_percent < 100:
        raise ServiceError(
            "The margin is a share of the price: from 0 to less than 100 %.",
            field="margin_percent",
        )
    _check_vat(revision, customer)
    if revision.discount_percent and revision.discount_fixed:
        raise ServiceError(
            "Give the discount as a share or as a sum, not both.", field="discount_fixed"
        )
    if not 0 <= revision.discount_percent <= 100 or revision.discount_fixed < 0:
        raise ServiceError("A discount is a share up to 100 %, or a sum.", field="discount_percent")
    # Fixed amounts are held against the price when the plan is written and when it is sent: the
    # price of a draft moves in between.
    price = revision.net if sending else None
    check_plan(planned_stages(revision.deposit_percent, revision.payment_plan), price)
    if not 1 <= revision.crew_size <= MOST_PEOPLE:
        raise ServiceError(f"Give 1 to {MOST_PEOPLE} people.", field="crew_size")
    if revision.valid_until and revision.valid_until < revision.priced_on:
        raise ServiceError("The quote must hold at least for the day.", field="valid_until")


def _check_vat(revision: Revision, customer: Customer) -> None:
    """Refuse a rate that is not its code's, one without reason or document, and reverse charge
    where its conditions do not hold. The rules are those of the invoices.
    """
    code, percent = revision.vat_code, revision.vat_percent
    if code != VatCode.STANDARD and not revision.vat_reason.strip():
        raise ServiceError(
            "Another rate needs its reason and the document that shows it.", field="vat_reason"
        )
    if code == VatCode.REVERSE:
        verdict = reverse_verdict(customer, percent, revision.priced_on)
        if not verdict.applies:
            why = "; ".join(verdict.reasons)
            raise ServiceError(f"Reverse charge does not apply: {why}.", field="vat_code")
        return
    rate = vat_rate(code, percent)
    if code_of(rate).value != code:
        wanted = percent_of(code).normalize()
        raise ServiceError(
            f"The {VatCode(code).label} is {wanted:f} %; another one is another choice.",
            field="vat_percent",
        )
    try:
        check_evidence({rate: Decimal(1)}, revision.vat_reason, _document(revision))
    except ServiceError as refusal:
        raise ServiceError(
            f"{refusal.message} Attach it first, then choose the rate.",
            field="vat_code", code="vat_document",
        ) from refusal  # fmt: skip


def reverse_overlooked(revision: Revision) -> str:
    """Return why reverse charge applies to a revision that has VAT; '' where it does not."""
    if revision.vat_code in {VatCode.REVERSE, VatCode.ZERO}:
        return ""
    customer = revision.quote.job.customer
    verdict = reverse_verdict(customer, revision.vat_percent, revision.priced_on)
    return "; ".join(verdict.reasons) if verdict.applies else ""


def _document(revision: Revision) -> Attachment | None:
    """Return the document of the VAT rate; None where there is none, or it was taken off since."""
    if revision.vat_document is None:
        return None
    return Attachment.objects.filter(uid=revision.vat_document, removed_at=None).first()


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
