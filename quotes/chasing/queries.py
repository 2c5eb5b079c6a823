"""Which quotes wait for an answer, what they were reminded of, and what is found about them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django.db.models import Exists, OuterRef, QuerySet

from jobs.calendar.queries import firm_calendar
from jobs.calendar.rules import WorkingCalendar
from jobs.kernel.clock import london_day
from jobs.outbox.enums import MessageState
from jobs.outbox.models import Message
from jobs.work.enums import Stage
from quotes.acceptance.models import QuoteLink
from quotes.chasing import rules
from quotes.chasing.models import PauseModel, VariationWatch, Watch
from quotes.chasing.rules import Step
from quotes.quoting.enums import RevisionState
from quotes.quoting.models import Revision
from quotes.variations.enums import VariationState
from quotes.variations.models import Variation, VariationLink


def waiting(today: date) -> QuerySet[Any]:
    """Return sent revisions of open jobs that hold and were not answered, with their watch."""
    rows = Revision.objects.open_on(today).filter(quote__job__stage__in=Stage.OPEN)
    return rows.select_related("watch").order_by("pk")


def to_chase(at: datetime, calendar: WorkingCalendar) -> list[int]:
    """Return revisions of which a reminder is due and not written; two queries for any number."""
    mailed = QuoteLink.objects.filter(revision=OuterRef("pk"), withdrawn_at=None)
    rows = [
        row
        for row in waiting(london_day(at))
        .filter(Exists(mailed), quote__job__customer__only_needed=False)
        .defer("snapshot", "terms")
        if not is_paused(watch_of(row))
    ]  # fmt: skip
    due = {row.pk: step for row in rows if (step := _due(row, at, calendar))}
    occasions = {rules.occasion_of(pk, step.code): pk for pk, step in due.items()}
    found = Message.objects.filter(occasion__in=occasions).values_list("occasion", flat=True)
    written = set(found)
    return [pk for occasion, pk in occasions.items() if occasion not in written]


def _due(row: Revision, at: datetime, calendar: WorkingCalendar) -> Step | None:
    watch = watch_of(row)
    since = watch.resumed_at if watch else None
    return rules.due_step(planned(row, calendar), at, (), since)


def watch_of(revision: Revision) -> Watch | None:
    """Return the watch of a revision, None while no sweep has seen it."""
    found: Watch | None = getattr(revision, "watch", None)
    return found


def open_variations(today: date) -> QuerySet[Variation]:
    """Return sent variations of open jobs that hold and were not answered, with their watch."""
    rows = Variation.objects.filter(
        state=VariationState.SENT,
        valid_until__gte=today,
        revision__quote__job__stage__in=Stage.OPEN,
    )
    return rows.select_related("watch").defer("snapshot", "words").order_by("pk")


def variations_to_chase(at: datetime, calendar: WorkingCalendar) -> list[int]:
    """Return variations of which a reminder is due and not written; two queries for any number."""
    mailed = VariationLink.objects.filter(variation=OuterRef("pk"), withdrawn_at=None)
    due = {}
    for row in open_variations(london_day(at)).filter(
        Exists(mailed), revision__quote__job__customer__only_needed=False
    ):
        watch = variation_watch_of(row)
        step = rules.due_step(
            planned_for(row, calendar), at, (), watch.resumed_at if watch else None
        )  # fmt: skip
        if step is not None and not is_paused(watch):
            due[rules.variation_occasion(row.pk, step.code)] = row.pk
    found = Message.objects.filter(occasion__in=due).values_list("occasion", flat=True)
    written = set(found)
    return [pk for occasion, pk in due.items() if occasion not in written]


def variation_watch_of(variation: Variation) -> VariationWatch | None:
    """Return the watch of a variation, None while nobody was reminded of it or stopped it."""
    found: VariationWatch | None = getattr(variation, "watch", None)
    return found


def planned_for(variation: Variation, calendar: WorkingCalendar) -> tuple[Step, ...]:
    """Return the reminders of a sent variation by today's calendar."""
    assert variation.sent_at is not None  # noqa: S101 - a sent one has it, by constraint
    return rules.plan(variation.sent_at, variation.valid_until, calendar)


def why_not_variation(variation_id: int, at: datetime) -> str:
    """Return why a reminder of a variation must not go out any more; '' if it may."""
    row = (
        Variation.objects.filter(pk=variation_id)
        .select_related("revision__quote__job__customer", "watch").defer("snapshot").first()
    )  # fmt: skip
    if row is None or row.state != VariationState.SENT:
        return "The variation was answered, replaced or withdrawn since this was written."
    job = row.revision.quote.job
    if not job.is_open:
        return "The job was closed since this was written."
    if row.valid_until < london_day(at):
        return "The variation no longer holds."
    if job.customer.only_needed:
        return "The customer wants no messages but what the work needs."
    if not row.links.filter(withdrawn_at=None).exists():
        return "The link was withdrawn, or was never mailed."
    paused = is_paused(variation_watch_of(row))
    return "Reminders of this variation are paused." if paused else ""


def is_paused(watch: PauseModel | None) -> bool:
    """Return whether reminders are stopped by hand."""
    return watch is not None and watch.paused_at is not None


def planned(revision: Revision, calendar: WorkingCalendar) -> tuple[Step, ...]:
    """Return the reminders of a sent revision by today's calendar."""
    assert revision.sent_at is not None  # noqa: S101 - a sent revision has both, by constraint
    assert revision.valid_until is not None  # noqa: S101
    return rules.plan(revision.sent_at, revision.valid_until, calendar)


def why_not(revision_id: int, at: datetime) -> str:
    """Return why a reminder must not go out any more; '' if it may."""
    row = (
        Revision.objects.filter(pk=revision_id).select_related("quote__job__customer", "watch")
        .defer("snapshot", "terms").first()
    )  # fmt: skip
    if row is None or row.state != RevisionState.SENT:
        return "The quote was answered or replaced since this was written."
    if not row.quote.job.is_open:
        return "The job was closed since this was written."
    if row.valid_until is None or row.valid_until < london_day(at):
        return "The quote no longer holds."
    if row.quote.job.customer.only_needed:
        return "The customer wants no messages but what the work needs."
    if not row.links.filter(withdrawn_at=None).exists():
        return "The link was withdrawn, or was never mailed."
    return "Reminders of this quote are paused." if is_paused(watch_of(row)) else ""


@dataclass(frozen=True)
class Reminder:
    """One line of the quote page: which reminder, when, and what became of it."""

    step: Step
    state: str
    level: str = ""


def reminders_of(revision: Revision, at: datetime) -> tuple[Watch | None, list[Reminder]]:
    """Return a sent revision's watch and its reminders, gone and to come; two queries."""
    watch = Watch.objects.filter(revision=revision).first()
    if watch is None or not watch.plan:
        steps = planned(revision, firm_calendar())
        return watch, [Reminder(step, _to_come(step, steps, at, watch)) for step in steps]
    steps = tuple(Step.from_json(kept) for kept in watch.plan)
    return watch, _reminders(steps, rules.occasion_of(revision.pk, ""), watch, at)


def variation_reminders(
    variation: Variation, at: datetime
) -> tuple[VariationWatch | None, list[Reminder]]:
    """Return a sent variation's watch and its reminders, gone and to come; three queries."""
    watch = VariationWatch.objects.filter(variation=variation).first()
    steps = planned_for(variation, firm_calendar())
    return watch, _reminders(steps, rules.variation_occasion(variation.pk, ""), watch, at)


def _reminders(
    steps: Sequence[Step], head: str, watch: PauseModel | None, at: datetime
) -> list[Reminder]:
    rows = Message.objects.filter(occasion__startswith=head)
    sent = {row.occasion: row for row in rows.only("occasion", "state", "sent_at", "last_error")}
    found = []
    for step in steps:
        message = sent.get(f"{head}{step.code}")
        if message is None:
            found.append(Reminder(step, _to_come(step, steps, at, watch)))
        else:
            level = "ready" if message.state == MessageState.SENT else "look"
            found.append(Reminder(step, message.get_state_display(), level))
    return found


def _to_come(step: Step, steps: Sequence[Step], at: datetime, watch: PauseModel | None) -> str:
    if is_paused(watch):
        return "paused"
    skipped = (
        at - step.at > rules.STALE
        # Of several whose moment came only the newest is written.
        or any(step.at < other.at <= at for other in steps)
        or (watch is not None and watch.resumed_at is not None and step.at < watch.resumed_at)
    )
    return "left out" if skipped else "to come"


def to_check(today: date) -> list[int]:
    """Return the waiting revisions whose prices were not looked at today."""
    return list(waiting(today).exclude(watch__checked_on=today).values_list("pk", flat=True))


def risen(today: date) -> QuerySet[Watch]:
    """Return the watches of waiting quotes whose cost rose since they were sent; one query."""
    rows = Watch.objects.filter(
        rise__gt=0, revision__state=RevisionState.SENT, revision__valid_until__gte=today,
        revision__quote__job__stage__in=Stage.OPEN,
    )  # fmt: skip
    return (
        rows.select_related("revision__quote__job").defer("revision__snapshot", "revision__terms")
        .order_by("revision__valid_until", "pk")
    )  # fmt: skip
