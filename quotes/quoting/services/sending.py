"""Sending: a revision is frozen with all that it rests on. Drawing and mailing come after."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import transaction

from jobs.audit.services import post_event
from jobs.kernel.clock import london_day
from jobs.kernel.enqueue import enqueue
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction
from jobs.kernel.series import next_reference
from jobs.work.enums import Stage
from jobs.work.services import post_stage
from quotes.engine.version import ENGINE_VERSION
from quotes.quoting.enums import RevisionState
from quotes.quoting.models import Line, Quote, Revision
from quotes.quoting.queries import build_sheet, costs_snapshot, gaps_of, inputs_digest
from quotes.quoting.rules.sheet import SCHEMA
from quotes.quoting.services.drafts import lock_draft
from quotes.quoting.services.terms import check_terms, reverse_overlooked
from quotes.takeoff.queries import take_off
from quotes.takeoff.rules import TakeOff

# Draws the PDF; it rings for the mail when the PDF is ready. The sweeps find what is left over.
DRAW_TASK = "quotes.documents.draw_sent"


@transaction.atomic(durable=True)
def send_revision(
    *, revision_id: int, to: str, by: Any, at: datetime, below_floor: bool = False
) -> Revision:
    """Freeze a draft and let it go to `to`: the PDF is drawn, then the link is mailed with it.

    Refuses an empty or incomplete quote, one whose survey changed since it was priced, terms that
    no longer stand, VAT where reverse charge applies, a validity that is over, and a price below
    the floor unless `below_floor` says that this is meant. An earlier revision that was sent is
    replaced; its link says so.
    """
    revision = lock_draft(revision_id)
    lines = list(revision.lines.all())
    found = take_off(revision.survey)
    _check(revision, lines, found, to, at)
    check_terms(revision, revision.quote.job.customer, sending=True)
    if why := reverse_overlooked(revision):
        raise ServiceError(
            f"Reverse charge applies: {why}. Choose it, or note what is not so on the customer's "
            "page.",
            code="reverse",
        )
    if revision.net < revision.floor and not below_floor:
        raise ServiceError(
            "The price is below what the job costs us. Say that this is meant, or change it.",
            field="below_floor", code="below_floor",
        )  # fmt: skip
    quote = revision.quote
    _replace_older(quote, by, at)
    revision.snapshot = _frozen(revision, lines, found)
    revision.state, revision.sent_at, revision.sent_by = RevisionState.SENT, at, by
    revision.sent_to, revision.engine_version = to, ENGINE_VERSION
    revision.version += 1
    revision.save()
    post_stage(job=quote.job, stage=Stage.QUOTED, by=by, at=at)
    after = {"to": to, "gross": revision.gross, "reference": quote.reference}
    after["below_floor"] = revision.net < revision.floor
    post_event(verb="send quote", subject=revision, by=by, at=at, after=after)
    enqueue(DRAW_TASK, revision.pk)
    return revision


def _replace_older(quote: Quote, by: Any, at: datetime) -> None:
    """Give the quote its number at its first sending, and close what was sent before."""
    if not quote.reference:
        quote.reference = next_reference("Q", london_day(at))
        quote.save(update_fields=["reference"])
    for older in quote.revisions.filter(state=RevisionState.SENT):
        older.state, older.closed_at = RevisionState.REPLACED, at
        older.save(update_fields=["state", "closed_at"])
        post_event(verb="replace quote", subject=older, by=by, at=at)


def _frozen(revision: Revision, lines: list[Line], found: TakeOff) -> dict[str, Any]:
    """Return all that a sent revision rests on."""
    return {
        "schema": SCHEMA,
        "engine": ENGINE_VERSION,
        "sheet": build_sheet(revision, lines, found).as_dict(),
        "lines": costs_snapshot(lines),
        "document": found.document,
        "answer": found.answer,
        "priced_on": revision.priced_on.isoformat(),
        "edging": dict(found.edging),
    }


def _check(
    revision: Revision, lines: list[Line], found: TakeOff, to: str, at: datetime
) -> None:  # fmt: skip
    try:
        validate_email(to)
    except ValidationError as error:
        raise ServiceError("Give an e-mail address like name@example.com.", field="to") from error
    if not lines:
        raise ServiceError(
            "Nothing is priced yet: add a line or a small job, then send it.", code="empty"
        )
    if revision.net <= 0:
        raise ServiceError(
            "There is nothing to pay in this quote: give its lines a price, or make the discount "
            "smaller.",
            code="empty",
        )
    if gaps := gaps_of(lines):
        raise ServiceError(
            f"A price is missing: {gaps[0]} Give it, then price the quote again.", code="gap"
        )
    if found.problem:
        raise ServiceError(found.problem.message, code="no_takeoff")
    if inputs_digest(found) != revision.inputs_digest:
        raise ServiceError(
            "The survey or its blends changed since this was priced. Price it again first.",
            code="changed",
        )
    if revision.valid_until is None or revision.valid_until < london_day(at):
        raise ServiceError(
            "The day until which it holds is over. Price it again first.", code="over"
        )


def post_answer(
    *, revision: Revision, state: str, by: Any, at: datetime, reason: str = ""
) -> Revision:
    """Close a sent revision as accepted or declined, in the caller's transaction and lock."""
    assert_in_transaction()
    revision.state, revision.closed_at = state, at
    revision.save(update_fields=["state", "closed_at"])
    post_event(
        verb=f"quote {state}", subject=revision, by=by, at=at, reason=reason,
        after={"gross": revision.gross},
    )  # fmt: skip
    return revision
