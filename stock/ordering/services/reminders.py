"""Reminders: stored when they are owed, handed to the outbox when they are due."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from datetime import datetime

from django.conf import settings
from django.db import transaction

from jobs.accounts.models import User
from jobs.calendar.queries import firm_calendar
from jobs.calendar.rules import WorkingCalendar
from jobs.kernel.clock import london_day
from jobs.outbox.enums import Audience
from jobs.outbox.services import post_message
from stock.ordering.enums import OrderState, ReminderKind, ReminderState
from stock.ordering.models import OrderLine, Reminder, Shortage
from stock.ordering.queries import orderers
from stock.ordering.rules.reminders import (
    Due,
    digest_due,
    ids_text,
    last_call_due,
    next_open_morning,
    occasion,
)
from stock.ordering.rules.words import reminder_body, reminder_subject

ANNOUNCING = (ReminderKind.DIGEST, ReminderKind.NEW)


@transaction.atomic(durable=True)
def make_reminders(*, at: datetime) -> int:
    """Store what is owed to each person who may order, and return how many rows are new.

    A digest each morning that we work; at once for a shortage that none of these told of; a last
    call an hour before the last channel closes, to whoever drafted its order, else to everybody.
    Last calls for moments that no longer hold are withdrawn. People are locked in pk order, so
    that two sweeps owe one reminder.
    """
    people = list(User.objects.select_for_update(no_key=True).filter(
        pk__in=list(orderers().values_list("pk", flat=True))
    ).order_by("pk"))  # fmt: skip
    shortages = list(Shortage.objects.for_clock())
    firm = firm_calendar()
    told = _told(people)
    owners = _drafted_by(shortages)
    made = 0
    for person in people:
        owed = [
            *_announcements(person, shortages, told[person.pk], firm, at),
            *_last_calls(person, shortages, owners, firm, at),
        ]
        _withdraw(person, {due.occasion for due in owed})
        made += sum(_store(person, due) for due in owed)
    return made


def _told(people: Sequence[User]) -> dict[int, set[int]]:
    rows = Reminder.objects.filter(
        user__in=people, kind__in=ANNOUNCING, shortages__closed_at=None
    ).exclude(state=ReminderState.DROPPED)
    told: dict[int, set[int]] = defaultdict(set)
    for user_id, shortage_id in rows.values_list("user_id", "shortages"):
        if shortage_id is not None:
            told[user_id].add(shortage_id)
    return told


def _drafted_by(shortages: Sequence[Shortage]) -> dict[int, int]:
    """Return shortage -> who has it in a draft order."""
    lines = OrderLine.objects.filter(
        order__state=OrderState.DRAFT, job_id__in={row.job_id for row in shortages}
    ).values_list("job_id", "item_id", "colour_group", "order__drafted_by_id")
    drafted = {(job, item, group): user for job, item, group, user in lines if user}
    found = {}
    for row in shortages:
        user_id = drafted.get((row.job_id, row.item_id, row.colour_group))
        if user_id:
            found[row.pk] = user_id
    return found


def _announcements(
    person: User, shortages: Sequence[Shortage], told: set[int], firm: WorkingCalendar, at: datetime
) -> list[Due]:
    today = london_day(at)
    ids = tuple(row.pk for row in shortages)
    if not ids:
        return []
    digest_at = digest_due(at, firm)
    name = occasion(ReminderKind.DIGEST, person.pk, today)
    if digest_at and not Reminder.objects.filter(occasion=name).exists():
        return [Due(ReminderKind.DIGEST, name, today, digest_at, ids)]
    new = tuple(pk for pk in ids if pk not in told)
    if not new:
        return []
    name = occasion(ReminderKind.NEW, person.pk, ids_text(new))
    return [Due(ReminderKind.NEW, name, today, at, new)]


def _last_calls(
    person: User,
    shortages: Sequence[Shortage],
    owners: dict[int, int],
    firm: WorkingCalendar,
    at: datetime,
) -> list[Due]:
    by_moment: dict[datetime, list[int]] = defaultdict(list)
    for row in shortages:
        theirs = owners.get(row.pk, person.pk) == person.pk
        if not theirs or row.order_by is None or row.order_by <= at:
            continue
        # What arose within the last hour is told at once as new; twice would be once too often.
        if row.found_at <= last_call_due(row.order_by, firm):
            by_moment[row.order_by].append(row.pk)
    found = []
    for moment, ids in by_moment.items():
        due_at = last_call_due(moment, firm)
        name = occasion(ReminderKind.LAST_CALL, person.pk, moment.isoformat())
        found.append(Due(ReminderKind.LAST_CALL, name, london_day(due_at), due_at, tuple(ids)))
    return found


def _store(person: User, due: Due) -> bool:
    reminder, made = Reminder.objects.get_or_create(
        occasion=due.occasion,
        defaults={"user": person, "kind": due.kind, "day": due.day, "due_at": due.due_at},
    )
    if reminder.state == ReminderState.DROPPED:
        # The moment holds again: what was withdrawn before it went is owed once more.
        reminder.state, reminder.due_at = ReminderState.DUE, due.due_at
        reminder.save(update_fields=["state", "due_at"])
    if made or reminder.state == ReminderState.DUE:
        reminder.shortages.set(due.shortage_ids)
    return made


def _withdraw(person: User, wanted: set[str]) -> None:
    Reminder.objects.filter(
        user=person, kind=ReminderKind.LAST_CALL, state=ReminderState.DUE
    ).exclude(occasion__in=wanted).update(state=ReminderState.DROPPED)


def hand_due_reminders(*, at: datetime) -> int:
    """Hand every reminder that is due to the outbox, each in its own transaction."""
    due = list(Reminder.objects.due(at).values_list("pk", flat=True))
    return sum(hand_reminder(reminder_id=pk, at=at) for pk in due)


@transaction.atomic(durable=True)
def hand_reminder(*, reminder_id: int, at: datetime) -> bool:
    """Put one due reminder into the outbox; drop it if all it told of has ended.

    Returns whether a message was made. What was ordered since is left out of it.
    """
    reminder = Reminder.objects.select_for_update(no_key=True, of=("self",)).get(pk=reminder_id)
    if reminder.state != ReminderState.DUE or reminder.due_at > at:
        return False
    person = User.objects.get(pk=reminder.user_id)
    shortages = list(Shortage.objects.for_clock().filter(reminders=reminder))
    if not shortages or not person.is_active:
        reminder.state = ReminderState.DROPPED
        reminder.save(update_fields=["state"])
        return False
    facts = [row.facts for row in shortages]
    message = post_message(
        occasion=f"reminder-{reminder.occasion}",
        audience=Audience.STAFF,
        to=person.email,
        subject=reminder_subject(reminder.kind, facts, at),
        body=reminder_body(
            reminder.kind,
            person.name,
            facts,
            at,
            next_open_morning(at, firm_calendar()),
            f"{settings.BASE_URL}/orders/clock/",
        ),
        about=reminder,
        at=at,
    )
    reminder.state, reminder.handed_at = ReminderState.SENT, at
    reminder.message_uid = message.uid
    reminder.save(update_fields=["state", "handed_at", "message_uid"])
    return True
