"""The answer to a variation: one transaction moves budget, requirements and the stage plan."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.db import transaction

from jobs.attachments.rules import CheckedFile
from jobs.attachments.services import post_attachment
from jobs.audit.services import post_event
from jobs.kernel.errors import ServiceError
from quotes.acceptance.rules import hash_of, refusal, said
from quotes.acceptance.services import check_signed
from quotes.variations import queries
from quotes.variations.enums import VariationState
from quotes.variations.models import Variation, VariationAnswer, VariationLink
from quotes.variations.rules import consents_for
from quotes.variations.services import following
from quotes.variations.services.drafts import lock_variation
from quotes.variations.services.sending import SEE


@transaction.atomic(durable=True)
def accept(
    *,
    token: str,
    name: str,
    consents: Mapping[str, bool],
    network_address: str | None,
    user_agent: str,
    at: datetime,
) -> VariationAnswer:
    """Accept a variation by its link. The same again, or from another device, finds it accepted.

    Refuses (ServiceError with a sentence) a link that is over, withdrawn or superseded, a missing
    name or consent, and a job that was closed.
    """
    link, variation = _locked(token, at)
    done = queries.answer_of(variation)
    if done is not None:
        return done
    answer = _sign(
        variation, name, consents, at, answered_by="link", network_address=network_address,
        user_agent=user_agent[:300],
    )  # fmt: skip
    following.follow(variation, answer, by=None, at=at)
    VariationLink.objects.filter(pk=link.pk, first_opened_at=None).update(first_opened_at=at)
    return answer


@transaction.atomic(durable=True)
def record_paper(
    *,
    variation_id: int,
    name: str,
    consents: Mapping[str, bool],
    kept: CheckedFile,
    by: Any,
    at: datetime,
    signed_on: date | None = None,
) -> VariationAnswer:
    """Record a variation signed on paper; the paper is attached to it.

    `signed_on` is the day on the paper (None: today). Refuses (ServiceError) one before the
    variation was sent, or still to come.
    """
    variation = lock_variation(variation_id)
    if variation.state == VariationState.ACCEPTED:
        raise ServiceError("This variation was accepted already.", code="accepted")
    if variation.state != VariationState.SENT:
        raise ServiceError("Only a variation that was sent can be accepted.", code="shut")
    day = check_signed(signed_on, sent_at=variation.sent_at, at=at)
    paper = post_attachment(
        kept=kept, about=variation, permission=SEE, caption="signed by the customer", by=by, at=at
    )
    answer = _sign(
        variation, name, consents, at, answered_by="paper", recorded_by=by, paper_uid=paper.uid,
        signed_on=day,
    )  # fmt: skip
    following.follow(variation, answer, by=by, at=at)
    return answer


@transaction.atomic(durable=True)
def decline(*, token: str, reason: str, at: datetime) -> Variation:
    """Decline a variation by its link, with the reason; said again it changes nothing."""
    _, variation = _locked(token, at, declined_is_done=True)
    if variation.state == VariationState.ACCEPTED:
        raise ServiceError("This variation was accepted. To go back on it, write to us.")
    if variation.state == VariationState.DECLINED:
        return variation
    _close_declined(variation, reason, None, at)
    following.tell_declined(variation, at)
    return variation


@transaction.atomic(durable=True)
def record_decline(*, variation_id: int, reason: str, by: Any, at: datetime) -> Variation:
    """Record that the customer said no by telephone or on site, and why; twice changes nothing."""
    variation = lock_variation(variation_id)
    if variation.state == VariationState.DECLINED:
        return variation
    if variation.state != VariationState.SENT:
        raise ServiceError("Only a variation that waits for its answer is declined.", code="shut")
    _close_declined(variation, reason, by, at)
    return variation


def _close_declined(variation: Variation, reason: str, by: Any, at: datetime) -> None:
    if not reason.strip():
        raise ServiceError("Tell us in a few words why.", field="reason")
    variation.state, variation.closed_at = VariationState.DECLINED, at
    variation.decline_reason = reason.strip()[:300]
    variation.save(update_fields=["state", "closed_at", "decline_reason"])
    post_event(
        verb="variation declined", subject=variation, by=by, at=at, reason=reason.strip()[:300]
    )  # fmt: skip


@transaction.atomic(durable=True)
def note_opened(*, link_id: int, at: datetime) -> None:
    """Note when a link was first opened."""
    VariationLink.objects.filter(pk=link_id, first_opened_at=None).update(first_opened_at=at)


def _locked(
    token: str, at: datetime, *, declined_is_done: bool = False
) -> tuple[VariationLink, Variation]:
    """Lock the quote behind a token, then read link and variation; refuse a link that is shut."""
    first = VariationLink.objects.filter(token_hash=hash_of(token)).first()
    if first is None:
        raise ServiceError("This link is not one of ours.", code="unknown")
    variation = lock_variation(first.variation_id)
    link = VariationLink.objects.get(pk=first.pk)
    shut = queries.why_shut(link, variation, at)
    if shut and not (declined_is_done and shut == VariationState.DECLINED):
        raise ServiceError(queries.SHUT[shut], code=shut)
    return link, variation


def _sign(
    variation: Variation, name: str, given: Mapping[str, bool], at: datetime, **how: Any
) -> VariationAnswer:
    """Write the signature, and what the variation counts in the price of its job.

    What is agreed is the price before VAT. The signature keeps the price with VAT as the PDF
    showed it, whose hash it keeps too, and sheet and PDF stay as they were sent. VAT itself is due
    on the total of the job: the variation's `vat` and `gross` become the part by which that total
    moves now, so that the quote and its variations come to what the plan of payments comes to.
    Where another variation was accepted since this one was sent, the two may differ by a penny;
    page, PDF and the customer's copy say so.
    """
    consents = consents_for(queries.sheet_of(variation, at))
    if wrong := refusal(consents, name, given):
        raise ServiceError(wrong[0], field=wrong[1])
    if not variation.revision.quote.job.is_open:
        raise ServiceError("This job is closed. Ask us, and we agree the change anew.")
    shown = variation.gross
    now = queries.counted(variation)
    variation.vat, variation.gross = now.vat, now.gross
    variation.save(update_fields=["vat", "gross"])
    return VariationAnswer.objects.create(
        variation=variation, name=name.strip()[:120], consents=said(consents, given),
        gross=int(shown * 100), at=at, pdf_digest=variation.pdf_digest, **how,
    )  # fmt: skip
