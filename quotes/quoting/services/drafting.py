"""Starting a quote from a survey, pricing it again, copying it as a new revision."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction

from jobs.audit.services import post_event
from jobs.billing.queries import reverse_verdict
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.surveys.models import Survey
from jobs.work.models import Job
from quotes.pricebook.models import WorkItem
from quotes.pricebook.queries import costs_of
from quotes.quoting.enums import LineKind, RevisionState, VatCode
from quotes.quoting.models import Line, Quote, Revision
from quotes.quoting.queries import (
    Drafted,
    draft_asked,
    draft_survey,
    draft_work,
    measured_items,
    measured_quantity,
    pace_of_survey,
    usual_items,
)
from quotes.quoting.rules import EXCLUSIONS, SMALL_EXCLUSIONS, SMALL_TERMS, TERMS
from quotes.quoting.services.drafts import fill_line, line_of, lock_draft, next_position, recompute

KEPT = (
    "overhead_percent", "margin_percent", "deposit_percent", "payment_plan", "vat_code",
    "vat_percent", "vat_reason", "vat_document", "discount_percent", "discount_fixed",
    "crew_size", "day_hours", "pace_m2", "sample_blend", "sample_shown_on", "sample_signed_by",
    "exclusions", "terms", "message", "purchase",
)  # fmt: skip


@transaction.atomic(durable=True)
def start_quote(
    *,
    job_id: int,
    survey_id: int | None,
    by: Any,
    at: datetime,
    work_item_ids: Sequence[int] | None = None,
) -> Revision:
    """Draft a quote (or its next revision) from a survey at today's prices.

    The VAT is reverse charge where its conditions hold for the customer, else the standard rate.
    `work_item_ids` names the measured work items to draft beside the surfacing; None takes the
    usual ones. No survey: small jobs alone, a draft without lines. Refuses a survey of another job
    or without a take-off, and a second draft.
    """
    # long because: one row with all it is reckoned with
    job = Job.objects.select_related("customer").get(pk=job_id)
    survey = Survey.objects.filter(pk=survey_id, job=job).first() if survey_id else None
    if survey is None and survey_id is not None:
        raise ServiceError("That survey is not of this job.", field="survey")
    Quote.objects.get_or_create(job=job, defaults={"created_at": at})
    quote = Quote.objects.select_for_update(no_key=True).get(job=job)
    _refuse_second(quote)
    # Without a survey there is nothing that measured work could be measured by.
    items: list[WorkItem] = []
    if survey is not None:
        items = usual_items(survey) if work_item_ids is None else _chosen(work_item_ids)
    day = london_day(at)
    drafted = draft_survey(survey, day, items)
    if drafted.take_off.problem:
        raise ServiceError(drafted.take_off.problem.message, field="survey", code="no_takeoff")
    rates = drafted.rates
    verdict = reverse_verdict(job.customer, rates.vat_percent, day)
    revision = Revision.objects.create(
        quote=quote, survey=survey, number=_next_number(quote), priced_on=day,
        valid_until=day + timedelta(days=rates.validity_days),
        overhead_percent=rates.overhead_percent, margin_percent=rates.margin_percent,
        deposit_percent=rates.deposit_percent, vat_percent=rates.vat_percent,
        vat_code=VatCode.REVERSE if verdict.applies else VatCode.STANDARD,
        vat_reason="; ".join(verdict.reasons)[:200] if verdict.applies else "",
        crew_size=rates.crew_size, day_hours=rates.day_hours,
        pace_m2=pace_of_survey(drafted.take_off, rates.crew_size),
        exclusions=EXCLUSIONS if survey else SMALL_EXCLUSIONS,
        terms=TERMS if survey else SMALL_TERMS, inputs_digest=drafted.digest,
        created_at=at, created_by=by,
    )  # fmt: skip
    Line.objects.bulk_create(
        line_of(draft, revision, place) for place, draft in enumerate(drafted.lines, start=1)
    )
    recompute(revision, rates.minimum_charge, buy=True)
    post_event(
        verb="start quote", subject=revision, by=by, at=at,
        after={"survey": survey_id, "net": revision.net},
    )  # fmt: skip
    return revision


@transaction.atomic(durable=True)
def reprice(*, revision_id: int, by: Any, at: datetime) -> Revision:
    """Bring a draft to today's survey and prices; typed words, quantities and prices stay."""
    revision = lock_draft(revision_id)
    day = london_day(at)
    drafted = draft_survey(revision.survey, day, ())
    if drafted.take_off.problem:
        raise ServiceError(drafted.take_off.problem.message, code="no_takeoff")
    before = revision.direct
    _refresh(revision, drafted, at)
    revision.priced_on, revision.inputs_digest = day, drafted.digest
    revision.valid_until = day + timedelta(days=drafted.rates.validity_days)
    revision.day_hours = drafted.rates.day_hours
    revision.pace_m2 = pace_of_survey(drafted.take_off, revision.crew_size)
    recompute(revision, drafted.rates.minimum_charge, buy=True)
    post_event(
        verb="reprice quote", subject=revision, by=by, at=at,
        before={"direct": before}, after={"direct": revision.direct},
    )  # fmt: skip
    return revision


def _refresh(revision: Revision, drafted: Drafted, at: datetime) -> None:
    """Write today's figures into the lines; a new colour group gets a line, a gone one loses it."""
    lines = list(revision.lines.select_related("work_item"))
    surfaces = {draft.colour_group: draft for draft in drafted.lines}
    works = {line.work_item.pk: line.work_item for line in lines if line.work_item}
    wanted = {
        line.pk: measured_quantity(drafted.take_off, line.work_item.measure)
        if line.measured and line.work_item
        else line.quantity
        for line in lines
    }
    costs = costs_of(
        works.values(), london_day(at), labour_hourly=drafted.rates.labour_hourly,
        quantities={line.work_item_id: wanted[line.pk] for line in lines if line.work_item_id},
    )  # fmt: skip
    for line in lines:
        if line.kind == LineKind.SURFACE:
            draft = surfaces.pop(line.colour_group, None)
            if draft is None:
                line.delete()
                continue
            line.words = ""
        elif line.work_item_id:
            draft = draft_work(
                costs[line.work_item_id], wanted[line.pk], measured=line.measured, kind=line.kind
            )
        elif line.kind in LineKind.ASKED:
            draft = draft_asked(
                line.kind, line.asked, london_day(at), rates=drafted.rates,
                area_m2=drafted.take_off.area_m2,
            )  # fmt: skip
        else:
            continue
        fill_line(line, draft)
        line.save()
    place = next_position(lines)
    Line.objects.bulk_create(
        line_of(draft, revision, place + n) for n, draft in enumerate(surfaces.values())
    )


@transaction.atomic(durable=True)
def revise(*, revision_id: int, by: Any, at: datetime) -> Revision:
    """Copy a sent or declined revision as the next draft; the old one stays as it was sent."""
    old = Revision.objects.select_related("survey").get(pk=revision_id)
    quote = Quote.objects.select_for_update(no_key=True).get(pk=old.quote_id)
    _refuse_second(quote)
    old.refresh_from_db()
    new = Revision.objects.create(
        quote=quote, survey=old.survey, number=_next_number(quote), priced_on=old.priced_on,
        valid_until=old.valid_until, inputs_digest=old.inputs_digest,
        created_at=at, created_by=by, **{name: getattr(old, name) for name in KEPT},
    )  # fmt: skip
    lines = list(old.lines.all())
    for line in lines:
        line.pk, line.revision, line.chosen = None, new, False
    Line.objects.bulk_create(lines)
    recompute(new)
    post_event(
        verb="revise quote", subject=new, by=by, at=at, before={"number": old.number},
        after={"number": new.number},
    )  # fmt: skip
    return new


def _refuse_second(quote: Quote) -> None:
    states = set(quote.revisions.values_list("state", flat=True))
    if RevisionState.DRAFT in states:
        raise ServiceError("This job has a quote in draft already; go on with that one.")
    if RevisionState.ACCEPTED in states:
        raise ServiceError(
            "This quote was accepted. A change now is a variation, agreed on its own."
        )


def _next_number(quote: Quote) -> int:
    last = quote.revisions.order_by("-number").values_list("number", flat=True).first()
    return (last or 0) + 1


def _chosen(work_item_ids: Sequence[int]) -> list[WorkItem]:
    wanted = set(work_item_ids)
    return [item for item in measured_items() if item.pk in wanted]
