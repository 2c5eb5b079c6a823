"""The answer to a quote: one transaction makes budget, requirements, deposit request and stage."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from django.db import transaction

from jobs.attachments.rules import CheckedFile
from jobs.attachments.services import post_attachment
from jobs.audit.services import post_event
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from quotes.acceptance import rules
from quotes.acceptance.models import Acceptance, QuoteLink
from quotes.acceptance.queries import SHUT, acceptance_of, why_shut
from quotes.acceptance.services import following
from quotes.quoting.enums import RevisionState
from quotes.quoting.models import Quote, Revision
from quotes.quoting.queries import sheet_of
from quotes.quoting.rules import QuoteSheet
from quotes.quoting.services import post_answer

PAPER_PERMISSION = "jobs.see_billing"


@transaction.atomic(durable=True)
def accept(
    *,
    token: str,
    name: str,
    consents: Mapping[str, bool],
    options: Sequence[int],
    network_address: str | None,
    user_agent: str,
    at: datetime,
) -> Acceptance:
    """Accept a quote by its link. The same again, or from another device, finds it accepted.

    Refuses (ServiceError with a sentence) a link that is over, withdrawn or superseded, a quote of
    a job that was lost or cancelled, a missing name or consent, and an option not of the quote.
    """
    link, revision = _locked(token, at)
    done = acceptance_of(revision)
    if done is not None:
        return done
    sheet = sheet_of(revision)
    _check(sheet, name, consents, options)
    acceptance = Acceptance.objects.create(
        revision=revision, answered_by="link", name=name.strip()[:120],
        consents=_said(sheet, consents), options=sorted(set(options)),
        gross=_pence(sheet, options), at=at, network_address=network_address,
        user_agent=user_agent[:300], pdf_digest=revision.pdf_digest,
    )  # fmt: skip
    _follow(revision, sheet, acceptance, by=None, at=at)
    QuoteLink.objects.filter(pk=link.pk, first_opened_at=None).update(first_opened_at=at)
    return acceptance


@transaction.atomic(durable=True)
def record_paper(
    *, revision_id: int, name: str, options: Sequence[int], consents: Mapping[str, bool],
    kept: CheckedFile, by: Any, at: datetime, order_number: str = "",
    signed_on: date | None = None,
) -> Acceptance:  # fmt: skip
    """Record an acceptance on paper, e.g. a builder's order; the paper is attached to the quote.

    `signed_on` is the day on the paper (None: today), from which a consumer's days to cancel
    count. Refuses (ServiceError) one before the quote was sent, or still to come.
    """
    quote_id = Revision.objects.values_list("quote_id", flat=True).get(pk=revision_id)
    Quote.objects.select_for_update(no_key=True).get(pk=quote_id)
    revision: Revision = Revision.objects.with_job().get(pk=revision_id)
    if revision.state == RevisionState.ACCEPTED:
        raise ServiceError("This quote was accepted already.", code="accepted")
    if revision.state != RevisionState.SENT:
        raise ServiceError("Only a quote that was sent can be accepted.", code="shut")
    sheet = sheet_of(revision)
    _check(sheet, name, consents, options)
    day = check_signed(signed_on, sent_at=revision.sent_at, at=at)
    paper = post_attachment(
        kept=kept, about=revision, permission=PAPER_PERMISSION, caption="the customer's order",
        by=by, at=at,
    )  # fmt: skip
    acceptance = Acceptance.objects.create(
        revision=revision, answered_by="paper", name=name.strip()[:120],
        consents=_said(sheet, consents), options=sorted(set(options)),
        gross=_pence(sheet, options), at=at, pdf_digest=revision.pdf_digest, recorded_by=by,
        paper_uid=paper.uid, signed_on=day,
    )  # fmt: skip
    if order_number:
        job = revision.quote.job
        job.customer_order_number = order_number
        job.save(update_fields=["customer_order_number"])
    _follow(revision, sheet, acceptance, by=by, at=at)
    return acceptance


@transaction.atomic(durable=True)
def decline(*, token: str, reason: str, at: datetime) -> Revision:
    """Decline a quote by its link, with the customer's reason; said again it changes nothing."""
    _, revision = _locked(token, at, declined_is_done=True)
    if revision.state == RevisionState.ACCEPTED:
        raise ServiceError("This quote was accepted. To go back on it, write to us.")
    if revision.state == RevisionState.DECLINED:
        return revision
    if not reason.strip():
        raise ServiceError("Tell us in a few words why.", field="reason")
    post_answer(
        revision=revision, state=RevisionState.DECLINED, by=None, at=at, reason=reason.strip()
    )
    following.tell_declined(revision, reason.strip(), at)
    return revision


def _locked(
    token: str, at: datetime, *, declined_is_done: bool = False
) -> tuple[QuoteLink, Revision]:
    """Lock quote and job behind a token, then read link and revision; refuse a link that is shut.

    The job too, so that one that is marked lost meanwhile refuses in the customer's words.
    """
    link = QuoteLink.objects.filter(token_hash=rules.hash_of(token)).select_related("revision")
    first = link.first()
    if first is None:
        raise ServiceError("This link is not one of ours.", code="unknown")
    locked = Quote.objects.select_for_update(no_key=True, of=("self", "job"))
    locked.select_related("job").get(pk=first.revision.quote_id)
    found = QuoteLink.objects.get(pk=first.pk)
    revision: Revision = Revision.objects.with_job().get(pk=first.revision_id)
    shut = why_shut(found, revision, at)
    if shut and not (declined_is_done and shut == RevisionState.DECLINED):
        raise ServiceError(SHUT[shut], code=shut)
    return found, revision


def _check(
    sheet: QuoteSheet, name: str, consents: Mapping[str, bool], options: Sequence[int]
) -> None:  # fmt: skip
    if wrong := rules.refusal(rules.consents_for(sheet), name, consents):
        raise ServiceError(wrong[0], field=wrong[1])
    if set(options) - {line.key for line in sheet.options}:
        raise ServiceError("That option is not of this quote.", field="options")


def check_signed(signed_on: date | None, *, sent_at: datetime | None, at: datetime) -> date:
    """Return the day on a paper, today where none is given; refuse one that cannot be."""
    today = london_day(at)
    day = signed_on or today
    sent_on = london_day(sent_at) if sent_at else today
    if wrong := rules.signed_refusal(day, sent_on=sent_on, today=today):
        raise ServiceError(wrong, field="signed_on")
    return day


def _said(sheet: QuoteSheet, consents: Mapping[str, bool]) -> dict[str, dict[str, object]]:
    return rules.said(rules.consents_for(sheet), consents)


def _pence(sheet: QuoteSheet, options: Sequence[int]) -> int:
    return int(rules.total_with(sheet, options)[2] * 100)


def _follow(
    revision: Revision, sheet: QuoteSheet, acceptance: Acceptance, *, by: Any, at: datetime
) -> None:
    """Write everything that an acceptance leads to."""
    post_answer(revision=revision, state=RevisionState.ACCEPTED, by=by, at=at)
    post_event(
        verb="accept quote", subject=acceptance, by=by, at=at,
        after={"gross": acceptance.gross, "how": acceptance.answered_by},
    )  # fmt: skip
    following.follow(revision, sheet, acceptance, by=by, at=at)
