"""Hours of people on jobs; each posts its cost once, at the rate of its day."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import Sum

from jobs.audit.services import post_event
from jobs.costing.enums import Category, EntryKind, HoursKind
from jobs.costing.models import CostEntry, Hours
from jobs.costing.services.posting import post_cost
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.money import round_line
from jobs.people.models import Person
from jobs.work.enums import Stage
from jobs.work.models import Job

MOST_MINUTES = 16 * 60
CATEGORY = {
    HoursKind.WORK: Category.LABOUR,
    HoursKind.STANDING: Category.LABOUR,
    HoursKind.TRAVEL: Category.TRAVEL,
}


@transaction.atomic(durable=True)
def enter_hours(
    *,
    job_id: int,
    person_id: int,
    day: date,
    kind: str,
    minutes: int,
    note: str = "",
    uid: UUID,
    by: Any,
    at: datetime,
) -> Hours:
    """Enter a person's time on a job and post what it costs; the same uid again changes nothing.

    Refuses (ServiceError) a day that has not come, a person without a rate on that day, more than
    sixteen hours of one person in a day over all jobs, and a job that was not won.
    """
    # long because: one write with its refusals, its cost and its event
    person = Person.objects.select_for_update(no_key=True, of=("self",)).get(pk=person_id)
    done = Hours.objects.filter(uid=uid).first()
    if done is not None:
        return done
    job = Job.objects.get(pk=job_id)
    hourly = _hourly(person, day)
    _check(job, person, day, minutes, at)
    hours = Hours.objects.create(
        uid=uid, job=job, person=person, day=day, kind=HoursKind(kind), minutes=minutes,
        hourly=hourly, note=note[:200], entered_at=at, entered_by=by,
    )  # fmt: skip
    worked = Decimal(minutes) / 60
    post_cost(
        job=job,
        kind=EntryKind.ACTUAL,
        category=CATEGORY[HoursKind(kind)],
        what=f"{person.name}, {hours.get_kind_display()}",
        quantity=worked.quantize(Decimal("0.001")),
        unit="h",
        amount=round_line(worked * hourly),
        day=day,
        source="jobs.hours",
        source_id=hours.pk,
        key=f"jobs.hours:{hours.pk}",
        by=by,
        at=at,
    )
    post_event(verb="enter_hours", subject=hours, by=by, at=at, after={"minutes": minutes})
    return hours


def _hourly(person: Person, day: date) -> Decimal:
    rate = person.pay_rates.filter(valid_from__lte=day).order_by("-valid_from").first()
    if rate is None:
        raise ServiceError(
            f"What an hour of {person.name} costs is not known for {day:%-d %b %Y}; set the rate.",
            field="person",
        )
    return rate.hourly


def _check(job: Job, person: Person, day: date, minutes: int, at: datetime) -> None:
    if day > london_day(at):
        raise ServiceError("That day has not come yet.", field="day")
    if job.stage not in Stage.AFTER_WON:
        raise ServiceError(f"{job.reference} was not won; no hours belong to it.", field="job")
    there = Hours.objects.filter(person=person, day=day, withdrawn_at=None)
    total = (there.aggregate(sum=Sum("minutes"))["sum"] or 0) + minutes
    if minutes <= 0 or total > MOST_MINUTES:
        raise ServiceError(
            f"{person.name} would have {total / 60:.1f} h on that day; more than 16 h, or none, "
            "cannot be right.",
            field="hours",
        )


@transaction.atomic(durable=True)
def withdraw_hours(*, hours_id: int, by: Any, at: datetime) -> Hours:
    """Take entered hours back with a counter-entry; a second press changes nothing."""
    hours = (
        Hours.objects.select_for_update(no_key=True, of=("self",))
        .select_related("job")
        .get(pk=hours_id)
    )
    if hours.withdrawn_at is not None:
        return hours
    entry = CostEntry.objects.get(key=f"jobs.hours:{hours.pk}")
    post_cost(
        job=hours.job,
        kind=entry.kind,
        category=entry.category,
        what=f"{entry.what}, taken back",
        quantity=-entry.quantity if entry.quantity is not None else None,
        unit=entry.unit,
        amount=-entry.amount,
        day=entry.day,
        source=entry.source,
        source_id=entry.source_id,
        key=f"{entry.key}:back",
        by=by,
        at=at,
        reverses=entry,
    )
    hours.withdrawn_at = at
    hours.save(update_fields=["withdrawn_at"])
    post_event(verb="withdraw_hours", subject=hours, by=by, at=at)
    return hours
