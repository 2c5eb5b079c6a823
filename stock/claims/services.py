"""Writing claims: opened, told, answered, credited, closed."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction

from jobs.attachments.rules import CheckedFile
from jobs.attachments.services import keep_file, post_attachment
from jobs.audit.services import post_event
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import KeyUsedError, assert_in_transaction, claim_key, finish_key
from jobs.kernel.series import next_reference
from stock.claims.enums import Against, Answer, ToldBy
from stock.claims.models import Claim
from stock.claims.queries import claimable_lines
from stock.ordering.models import GoodsIn
from stock.ordering.services import lock_delivery, post_undo

# Who may look at the evidence.
SEEN_BY = "jobs.view_yard"
Files = Sequence[tuple[str, bytes]]


def open_claim(*, files: Files = (), **values: Any) -> Claim:
    """Open a claim with its evidence (name, bytes); see `post_claim`.

    Files are looked into and written first, so that one that is refused opens nothing.
    """
    return post_claim(kept=[keep_file(data=data, name=name) for name, data in files], **values)


@transaction.atomic(durable=True)
def post_claim(
    *, goods_in_id: int, line_ids: Sequence[int], against: str, what: str,
    credit_expected: Decimal | None, kept: Sequence[CheckedFile] = (), key: UUID, by: Any,
    at: datetime,
) -> Claim:  # fmt: skip
    """Open a claim for lines of a delivery that were short, refused or held.

    They must be told by the delivery's own deadline. Lines in another claim are refused, so that
    nothing is claimed twice; the same key returns the claim that stands.
    """
    # long because: one write: what is refused, and all that a claim is
    goods_in = GoodsIn.objects.select_for_update(of=("self",), no_key=True).get(pk=goods_in_id)
    done = Claim.objects.filter(key=key).first()
    if done is not None:
        if done.goods_in_id != goods_in_id:
            raise KeyUsedError("This page was sent before for another delivery. Open it again.")
        return done
    if goods_in.undone_at is not None:
        raise ServiceError("This delivery was undone; there is nothing to claim for.")
    lines = {line.pk: line for line in claimable_lines(goods_in)}
    wanted = [lines[pk] for pk in line_ids if pk in lines]
    if not wanted or len(wanted) < len(set(line_ids)):
        raise ServiceError(
            "Choose lines of this delivery that are short, refused or held and in no claim yet.",
            field="lines",
        )
    if not what.strip():
        raise ServiceError("Say what is claimed.", field="what")
    today = london_day(at)
    claim = Claim(
        key=key, reference=next_reference("CL", today), goods_in=goods_in,
        against=Against(against), what=what.strip(), opened_at=at, opened_by=by,
        notify_by=goods_in.claim_by or london_day(goods_in.received_at),
        credit_expected=credit_expected,
    )  # fmt: skip
    claim.full_clean()
    claim.save()
    claim.lines.set(wanted)
    post_evidence(claim, kept, caption="", by=by, at=at)
    post_event(
        verb="claims.open", subject=claim, by=by, at=at, reason=claim.what,
        after={"against": against, "notify_by": claim.notify_by, "expected": credit_expected},
    )  # fmt: skip
    return claim


def post_evidence(
    claim: Claim, kept: Sequence[CheckedFile], *, caption: str, by: Any, at: datetime
) -> None:
    """Attach kept files to a claim, each once."""
    for file in {one.digest: one for one in kept}.values():
        post_attachment(kept=file, about=claim, permission=SEEN_BY, caption=caption, by=by, at=at)


def lock_claim(claim_id: int, *, going: bool = True) -> Claim:
    """Lock a claim and read it afresh; refused once it is closed."""
    claim = Claim.objects.select_for_update(no_key=True).filter(pk=claim_id).first()
    if claim is None:
        raise ServiceError("This claim is not in the book.", code="claim")
    if going and claim.closed_at is not None:
        raise ServiceError(f"{claim} is closed. Open it again first.", code="closed")
    return claim


@transaction.atomic(durable=True)
def notify_claim(
    *, claim_id: int, how: str, words: str, told_at: datetime, by: Any, at: datetime
) -> Claim:
    """Note that they were told: how, when and with which words; again, it puts that right."""
    claim = lock_claim(claim_id)
    if told_at > at:
        raise ServiceError("They cannot have been told later than now.", field="told_at")
    if told_at < claim.goods_in.received_at:
        raise ServiceError("That is before the goods came.", field="told_at")
    if not words.strip():
        raise ServiceError("Write what they were told; the claim rests on it.", field="words")
    claim.notified_at, claim.notified_how = told_at, ToldBy(how)
    claim.notified_words = words.strip()
    claim.full_clean()
    claim.save()
    post_event(
        verb="claims.notify", subject=claim, by=by, at=at,
        after={"how": how, "told_at": told_at, "late": london_day(told_at) > claim.notify_by},
    )  # fmt: skip
    return claim


@transaction.atomic(durable=True)
def record_answer(
    *, claim_id: int, answer: str, answered_on: date, words: str,
    credit_expected: Decimal | None, by: Any, at: datetime,
) -> Claim:  # fmt: skip
    """Note what they answered and the credit that follows from it; nothing of one refused."""
    claim = lock_claim(claim_id)
    if claim.notified_at is None:
        raise ServiceError("Note first how and when they were told.", code="order")
    if answered_on > london_day(at):
        raise ServiceError("That day is still to come.", field="answered_on")
    if answered_on < london_day(claim.notified_at):
        raise ServiceError("That is before they were told.", field="answered_on")
    if answer == Answer.REFUSED and not words.strip():
        raise ServiceError("Write why they refuse.", field="words")
    before = {"expected": claim.credit_expected}
    claim.answer, claim.answered_on, claim.answer_words = answer, answered_on, words.strip()
    if credit_expected is not None or answer == Answer.REFUSED:
        claim.credit_expected = credit_expected or Decimal(0)
    claim.full_clean()
    claim.save()
    post_event(
        verb="claims.answer", subject=claim, by=by, at=at, reason=words, before=before,
        after={"answer": answer, "expected": claim.credit_expected},
    )  # fmt: skip
    return claim


@transaction.atomic(durable=True)
def record_credit(
    *, claim_id: int, amount: Decimal, credit_on: date, reference: str, key: UUID, by: Any,
    at: datetime,
) -> Claim:  # fmt: skip
    """Add a credit that came, without VAT; the same key adds it once."""
    inputs: dict[str, object] = {"claim": claim_id, "amount": amount, "reference": reference}
    done = claim_key(key=key, kind="stock.claims.credit", inputs=inputs, at=at)
    if done is not None:
        return Claim.objects.get(pk=claim_id)
    claim = lock_claim(claim_id)
    if amount <= 0:
        raise ServiceError("A credit is more than nothing.", field="amount")
    if credit_on > london_day(at):
        raise ServiceError("That day is still to come.", field="credit_on")
    claim.credit_received += amount
    claim.credit_on = credit_on
    notes = [*filter(None, claim.credit_reference.split(", ")), reference.strip()]
    claim.credit_reference = ", ".join(dict.fromkeys(filter(None, notes)))
    claim.full_clean()
    claim.save()
    post_event(
        verb="claims.credit", subject=claim, by=by, at=at,
        after={"amount": amount, "on": credit_on, "reference": reference},
    )  # fmt: skip
    finish_key(key=key, result=claim.pk)
    return claim


@transaction.atomic(durable=True)
def undo_delivery(*, goods_in_id: int, reason: str, key: UUID, by: Any, at: datetime) -> GoodsIn:
    """Undo a delivery and withdraw its open claims with the same reason, or neither.

    Refused where they were told of a claim: it is withdrawn with them and closed first. The same
    key undoes once.
    """
    _, goods_in = lock_delivery(goods_in_id)
    for claim in Claim.objects.going().filter(goods_in=goods_in).order_by("pk"):
        if claim.notified_at is not None:
            raise ServiceError(told_words(claim), code="told")
        words = f"Withdrawn, since the delivery was undone: {' '.join(reason.split())}"
        post_close(claim.pk, words[:300], by=by, at=at)
    return post_undo(goods_in_id=goods_in_id, reason=reason, key=key, by=by, at=at)


def told_words(claim: Claim) -> str:
    """Say what is done first where they were told of a claim and its delivery is to be undone."""
    told = london_day(claim.notified_at) if claim.notified_at else claim.notify_by
    against = claim.get_against_display()
    return (
        f"{against[:1].upper()}{against[1:]} was told of {claim} on {told:%d %b %Y}. Tell them "
        "that it is withdrawn and close it, then undo the delivery."
    )


@transaction.atomic(durable=True)
def close_claim(*, claim_id: int, words: str, by: Any, at: datetime) -> Claim:
    """Close a claim; where the credit is not what was expected, words say why."""
    return post_close(claim_id, words, by=by, at=at)


def post_close(claim_id: int, words: str, *, by: Any, at: datetime) -> Claim:
    """Close a claim in the caller's transaction."""
    assert_in_transaction()
    claim = lock_claim(claim_id)
    words = words.strip()
    if not words and (claim.difference or claim.notified_at is None):
        raise ServiceError(
            f"{claim.credit_words[:1].upper()}{claim.credit_words[1:]}. Say why it is closed.",
            field="words",
        )
    claim.closed_at, claim.closed_by, claim.closing_words = at, by, words
    claim.full_clean()
    claim.save()
    post_event(
        verb="claims.close", subject=claim, by=by, at=at, reason=words,
        after={"expected": claim.credit_expected, "received": claim.credit_received},
    )  # fmt: skip
    return claim


@transaction.atomic(durable=True)
def reopen_claim(*, claim_id: int, by: Any, at: datetime) -> Claim:
    """Open a closed claim again; one that is open stays so.

    Refused where its delivery was undone: there is nothing to claim for.
    """
    goods_in = GoodsIn.objects.select_for_update(of=("self",), no_key=True).filter(claims=claim_id)
    undone = any(found.undone_at for found in goods_in)
    claim = lock_claim(claim_id, going=False)
    if claim.closed_at is not None:
        if undone:
            raise ServiceError(
                "Its delivery was undone; there is nothing to claim for. Claim for the delivery "
                "that was booked in its place.",
                code="undone",
            )
        was = claim.closing_words
        claim.closed_at, claim.closed_by, claim.closing_words = None, None, ""
        claim.save(update_fields=["closed_at", "closed_by", "closing_words"])
        post_event(verb="claims.reopen", subject=claim, by=by, at=at, before={"words": was})
    return claim
