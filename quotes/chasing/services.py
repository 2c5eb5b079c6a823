"""Reminding customers once a step, pausing it, and noting when prices rose since sending."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction

from jobs.audit.services import post_event
from jobs.calendar.queries import firm_calendar
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.outbox.models import Message
from jobs.outbox.services import post_message
from quotes.acceptance.services import address_of, lock_sent, new_link, post_link
from quotes.chasing import queries, rules
from quotes.chasing.models import PauseModel, VariationWatch, Watch
from quotes.quoting.models import Revision
from quotes.quoting.queries import price_rise, sheet_of
from quotes.quoting.services import reprice, revise
from quotes.variations.enums import VariationState
from quotes.variations.models import Variation, VariationLink
from quotes.variations.queries import sheet_of as variation_sheet
from quotes.variations.services import address_of as address_of_variation
from quotes.variations.services import lock_variation


@transaction.atomic(durable=True)
def chase(*, revision_id: int, at: datetime) -> Message | None:
    """Write the reminder that is due for a sent quote; None where none is.

    The revision is read under its quote's lock and the occasion names revision and step, so that
    two workers, or a sweep that runs twice, write one message. It brings a link of its own.
    """
    try:
        revision = lock_sent(revision_id)
    except ServiceError:
        return None
    watch, _ = Watch.objects.get_or_create(revision=revision)
    calendar = firm_calendar()
    steps = queries.planned(revision, calendar)
    written = _written(rules.occasion_of(revision.pk, ""))
    step = rules.due_step(steps, at, written, watch.resumed_at)
    if step is None or queries.why_not(revision_id, at) or not rules.is_decent(at, calendar):
        return None
    sheet = sheet_of(revision)
    _, token = post_link(revision, at)
    assert revision.sent_at is not None  # noqa: S101 - a sent revision has it, by constraint
    return post_message(
        occasion=rules.occasion_of(revision.pk, step.code), audience="customer",
        to=revision.sent_to, subject=rules.subject(sheet, step),
        body=rules.letter(sheet, step, revision.sent_at, address_of(token)),
        about=revision.quote.job, at=at,
    )  # fmt: skip


def _written(head: str) -> set[str]:
    found = Message.objects.filter(occasion__startswith=head).values_list("occasion", flat=True)
    return {occasion.removeprefix(head) for occasion in found}


@transaction.atomic(durable=True)
def keep_plans(*, at: datetime) -> int:
    """Note the reminders of every waiting quote, so that its page need not reckon them."""
    calendar, changed = firm_calendar(), 0
    for row in queries.waiting(london_day(at)).defer("snapshot", "terms"):
        plan = [step.as_json() for step in queries.planned(row, calendar)]
        watch = queries.watch_of(row)
        if watch is None or watch.plan != plan:
            Watch.objects.update_or_create(revision=row, defaults={"plan": plan})
            changed += 1
    return changed


@transaction.atomic(durable=True)
def pause_chasing(*, revision_id: int, by: Any, at: datetime) -> Revision:
    """Stop the reminders of one quote, those that wait in the outbox too."""
    revision = lock_sent(revision_id)
    watch, _ = Watch.objects.get_or_create(revision=revision)
    _pause(watch, revision, by, at)
    return revision


@transaction.atomic(durable=True)
def resume_chasing(*, revision_id: int, by: Any, at: datetime) -> Revision:
    """Let the reminders of one quote go on; what fell into the pause is not sent after it."""
    revision = lock_sent(revision_id)
    watch, _ = Watch.objects.get_or_create(revision=revision)
    _resume(watch, revision, by, at)
    return revision


def _pause(watch: PauseModel, about: Revision | Variation, by: Any, at: datetime) -> None:
    if watch.paused_at is None:
        watch.paused_at, watch.paused_by = at, by
        watch.save(update_fields=["paused_at", "paused_by"])
        post_event(verb="pause reminders", subject=about, by=by, at=at)


def _resume(watch: PauseModel, about: Revision | Variation, by: Any, at: datetime) -> None:
    if watch.paused_at is not None:
        watch.paused_at, watch.paused_by, watch.resumed_at = None, None, at
        watch.save(update_fields=["paused_at", "paused_by", "resumed_at"])
        post_event(verb="resume reminders", subject=about, by=by, at=at)


@transaction.atomic(durable=True)
def chase_variation(*, variation_id: int, at: datetime) -> Message | None:
    """Write the reminder that is due for a sent variation; None where none is. As `chase`."""
    variation = lock_variation(variation_id)
    if variation.state != VariationState.SENT or variation.sent_at is None:
        return None
    watch, _ = VariationWatch.objects.get_or_create(variation=variation)
    calendar = firm_calendar()
    steps = queries.planned_for(variation, calendar)
    written = _written(rules.variation_occasion(variation.pk, ""))
    step = rules.due_step(steps, at, written, watch.resumed_at)
    if step is None or not rules.is_decent(at, calendar):
        return None
    if queries.why_not_variation(variation_id, at):
        return None
    sheet = variation_sheet(variation, at)
    _, token = new_link(
        VariationLink, valid_until=variation.valid_until, at=at, variation=variation
    )  # fmt: skip
    return post_message(
        occasion=rules.variation_occasion(variation.pk, step.code), audience="customer",
        to=variation.sent_to, subject=rules.subject(sheet, step),
        body=rules.variation_letter(sheet, step, variation.sent_at, address_of_variation(token)),
        about=variation.revision.quote.job, at=at,
    )  # fmt: skip


@transaction.atomic(durable=True)
def pause_variation(*, variation_id: int, by: Any, at: datetime) -> Variation:
    """Stop the reminders of one variation, those that wait in the outbox too."""
    variation, watch = _watched(variation_id)
    _pause(watch, variation, by, at)
    return variation


@transaction.atomic(durable=True)
def resume_variation(*, variation_id: int, by: Any, at: datetime) -> Variation:
    """Let the reminders of one variation go on; what fell into the pause is not sent after it."""
    variation, watch = _watched(variation_id)
    _resume(watch, variation, by, at)
    return variation


def _watched(variation_id: int) -> tuple[Variation, VariationWatch]:
    variation = lock_variation(variation_id)
    if variation.state != VariationState.SENT:
        raise ServiceError("Only a variation that waits for its answer is reminded of.")
    return variation, VariationWatch.objects.get_or_create(variation=variation)[0]


def check_prices(*, revision_id: int, at: datetime) -> Watch:
    """Reckon a waiting quote at today's prices and note whether its cost rose.

    The take-off runs outside any transaction; where it has no answer any more, nothing rose.
    """
    revision = Revision.objects.with_job().select_related("survey").get(pk=revision_id)
    day = london_day(at)
    try:
        rise = price_rise(revision, day)
    except ServiceError:
        rise = None
    watch, _ = Watch.objects.update_or_create(
        revision=revision, defaults={"rise": rise or None, "checked_on": day}
    )
    return watch


def renew_quote(*, revision_id: int, by: Any, at: datetime) -> Revision:
    """Copy a sent quote as the next revision and price it at today's prices.

    Two transactions, one after the other: if the second is refused, the copy stands as a draft
    and its page says what is missing.
    """
    draft = revise(revision_id=revision_id, by=by, at=at)
    return reprice(revision_id=draft.pk, by=by, at=at)
