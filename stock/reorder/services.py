"""Writing the day's suggestions, and drafting orders from them."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.db import transaction

from jobs.audit.services import post_event
from jobs.kernel.errors import ServiceError
from stock.ordering.models import Order
from stock.ordering.services import post_draft
from stock.ordering.services.drafts import DraftRow
from stock.reorder.enums import SuggestionState
from stock.reorder.models import ReorderRun, Suggestion
from stock.reorder.queries import Proposal, reckon

REPLACED = (SuggestionState.OPEN, SuggestionState.NO_WAY)


@transaction.atomic(durable=True)
def suggest(*, on: date, at: datetime) -> ReorderRun:
    """Reckon what to reorder and store it as the suggestions of `on`; safe to repeat.

    A repeat replaces what is still open; what was drafted or set aside that day stays.
    """
    run, _ = ReorderRun.objects.get_or_create(on=on, defaults={"ran_at": at})
    run = ReorderRun.objects.select_for_update(no_key=True).get(pk=run.pk)
    run.suggestions.filter(state__in=REPLACED).delete()
    settled = {(row.item_id, row.job_id, row.colour_group) for row in run.suggestions.all()}
    Suggestion.objects.bulk_create(
        _row(run, proposal)
        for proposal in reckon(at)
        if (proposal.item.pk, proposal.job.pk if proposal.job else None, proposal.colour_group)
        not in settled
    )
    run.ran_at = at
    run.save(update_fields=["ran_at"])
    return run


def _row(run: ReorderRun, proposal: Proposal) -> Suggestion:
    channel = proposal.offer.channel if proposal.offer else None
    return Suggestion(
        run=run, item=proposal.item, job=proposal.job, colour_group=proposal.colour_group,
        supplier=channel.supplier if channel else None, channel=channel,
        quantity=proposal.quantity, packs=proposal.packs, needed_on=proposal.needed_on,
        order_by=proposal.order_by, why=proposal.why,
        state=SuggestionState.OPEN if channel else SuggestionState.NO_WAY,
    )  # fmt: skip


def _lock(suggestion_id: int) -> Suggestion:
    row = (
        Suggestion.objects.select_for_update(no_key=True, of=("self",))
        .select_related("item", "channel__supplier")
        .filter(pk=suggestion_id)
        .first()
    )
    if row is None:
        raise ServiceError("This was reckoned anew since. Look at the list again.", code="gone")
    if row.state != SuggestionState.OPEN:
        raise ServiceError(f"It is {row.get_state_display()} already.", code="state")
    return row


@transaction.atomic(durable=True)
def draft_suggestion(*, suggestion_id: int, by: Any, at: datetime) -> Order:
    """Draft an order of what is suggested; together with all else that is open for its channel."""
    first = _lock(suggestion_id)
    others = (
        Suggestion.objects.select_for_update(no_key=True, of=("self",))
        .select_related("item", "channel__supplier")
        .filter(run=first.run_id, channel=first.channel_id, state=SuggestionState.OPEN)
        .order_by("pk")
    )
    rows = list(others)
    if first.channel is None:
        raise ServiceError("Nobody sells it to us.", code="channel")
    order = post_draft(
        channel=first.channel,
        rows=[DraftRow(row.item, row.packs, row.job_id, row.colour_group) for row in rows],
        by=by,
        at=at,
    )
    Suggestion.objects.filter(pk__in=[row.pk for row in rows]).update(state=SuggestionState.DRAFTED)
    return order


@transaction.atomic(durable=True)
def set_aside(*, suggestion_id: int, by: Any, at: datetime) -> Suggestion:
    """Set a suggestion aside for the day."""
    row = _lock(suggestion_id)
    row.state = SuggestionState.DROPPED
    row.save(update_fields=["state"])
    post_event(verb="stock.set_aside", subject=row, by=by, at=at)
    return row
