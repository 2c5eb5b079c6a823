"""Whose lay days there are: the crew lead sees his own crew's, the yard and the office all."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Any

from django.db.models import (
    Case,
    CharField,
    F,
    Max,
    Min,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
    When,
)

from jobs.calendar.enums import Phase, ResourceKind
from jobs.calendar.models import Booking, Slot
from jobs.people.models import Person
from stock.laying.models import LayDay, Mix

SEE_ALL = ("jobs.book_crews", "jobs.move_stock")


def sees_all(user: Any) -> bool:
    """Return whether a user sees every crew's lay days."""
    return any(user.has_perm(verb) for verb in SEE_ALL)


def lay_slots() -> QuerySet[Slot]:
    """Return the slots of standing bookings to lay."""
    return Slot.objects.filter(booking__phase=Phase.LAY, booking__cancelled_at=None)


def own_slots(user: Any) -> Q:
    """Return the condition that a slot is this user's, or his crew's."""
    person = Person.objects.filter(user=user, archived_at=None)
    return Q(resource__person__in=person) | Q(resource__crew__people__in=person)


def booked_days(user: Any, *, own: bool = False) -> QuerySet[Any]:
    """Return one slot for each job and day that is booked to be laid, as the user may see them.

    With `lay_day` (its pk or None), `closed_at`, `accepted_at`, `state`, `mixes` and `crew_name`.
    `own` keeps the user's own crew's even for those who see all.
    """
    # long because: one query with what its rows become
    rows = lay_slots()
    if own or not sees_all(user):
        rows = rows.filter(own_slots(user))
    ones = rows.order_by().values("booking__job_id", "day").annotate(one=Min("pk")).values("one")
    opened = LayDay.objects.filter(job=OuterRef("booking__job"), day=OuterRef("day"))
    crews = Slot.objects.filter(
        booking=OuterRef("booking"), day=OuterRef("day"), resource__kind=ResourceKind.CREW
    )
    top = (
        Mix.objects.standing()
        .filter(lay_day__job=OuterRef("booking__job"), lay_day__day=OuterRef("day"))
        .order_by()
        .values("lay_day")
        .annotate(top=Max("number"))
        .values("top")
    )
    return (
        Slot.objects.filter(pk__in=ones)
        .select_related("booking__job__site")
        .annotate(
            lay_day=Subquery(opened.values("pk")[:1]),
            accepted_at=Subquery(opened.values("base_accepted_at")[:1]),
            closed_at=Subquery(opened.values("closed_at")[:1]),
            mixes=Subquery(top[:1]),
            crew_name=Subquery(
                crews.order_by("pk").values("resource__name")[:1], output_field=CharField()
            ),
        )
        .annotate(
            state=Case(
                When(closed_at__isnull=False, then=Value("closed")),
                When(accepted_at__isnull=False, then=Value("laying")),
                When(lay_day__isnull=False, then=Value("base not accepted")),
                default=Value("not opened"),
                output_field=CharField(),
            )
        )
    )


def visible_days(user: Any) -> QuerySet[LayDay]:
    """Return the opened lay days that a user may see."""
    rows = LayDay.objects.select_related("job__site", "job__customer", "lead")
    if sees_all(user):
        return rows
    mine = lay_slots().filter(own_slots(user), booking__job=OuterRef("job"), day=OuterRef("day"))
    return rows.filter(Q(lead=user) | Q(pk__in=_days_with(mine)))


def _days_with(slots: QuerySet[Slot]) -> QuerySet[Any]:
    """Return the pks of lay days for which there is a slot."""
    return (
        LayDay.objects.annotate(slot=Subquery(slots.order_by().values("pk")[:1]))
        .exclude(slot=None)
        .values("pk")
    )


def lead_of(job_id: int, day: date) -> Any:
    """Return the log-in of the lead of the crew that is booked to lay a job on a day, or None."""
    person = (
        Person.objects.filter(
            is_lead=True, user__isnull=False, archived_at=None,
            crew__resource__slots__in=lay_slots().filter(booking__job_id=job_id, day=day),
        )
        .select_related("user")
        .order_by("pk")
        .first()
    )  # fmt: skip
    return person.user if person else None


def is_last_day(job_id: int, day: date) -> bool:
    """Return whether no later day is booked to lay the job."""
    return not Booking.objects.filter(
        job_id=job_id, phase=Phase.LAY, cancelled_at=None, last_day__gt=day
    ).exists()


def later_bookings(job_ids: Iterable[int], day: date) -> list[int]:
    """Return the jobs among these that are booked to be laid on this day or later."""
    rows = Booking.objects.filter(
        job_id__in=list(job_ids), phase=Phase.LAY, cancelled_at=None, last_day__gte=day
    )
    return list(rows.values_list("job_id", flat=True))


def days_in_order(rows: QuerySet[Any], today: date) -> QuerySet[Any]:
    """Return booked days with today first, then what comes, then what was, the latest first."""
    rank = Case(
        When(day=today, then=Value(0)), When(day__gt=today, then=Value(1)), default=Value(2)
    )
    coming = Case(When(day__gte=today, then=F("day")), default=None)
    ranked: QuerySet[Any] = rows.annotate(rank=rank, coming=coming)
    return ranked.order_by("rank", "coming", "-day", "pk")
