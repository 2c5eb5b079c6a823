"""Leave, closed days, and plant that can be booked."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

from django.db import transaction

from jobs.audit.services import changes, post_event
from jobs.calendar.models import Booking, ClosedDay, Leave, Resource, Slot
from jobs.calendar.rules import half_days
from jobs.calendar.services.clashes import refuse_clashes
from jobs.calendar.services.findings import post_findings
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction
from jobs.people.models import Person


@transaction.atomic(durable=True)
def add_leave(
    *, person_id: int, first: date, last: date, reason: str, by: Any, at: datetime
) -> Leave:
    """Take a person's half-days for leave; refused where that person is booked.

    Bookings of his crew in those days are checked again, so that the calendar says who is away.
    """
    person = Person.objects.current().get(pk=person_id)
    when = half_days(first, last)
    resource = Resource.objects.select_for_update(no_key=True).get(person=person)
    refuse_clashes([resource], when)
    leave = Leave.objects.create(
        person=person, first=first, last=last, reason=reason[:60] or "holiday"
    )
    Slot.objects.bulk_create(
        Slot(resource=resource, day=slot.day, half=slot.half, leave=leave) for slot in when
    )
    post_event(verb="add_leave", subject=leave, by=by, at=at)
    _check_again(first, last, at=at)
    return leave


@transaction.atomic(durable=True)
def cancel_leave(*, leave_id: int, by: Any, at: datetime) -> Leave:
    """Give a leave's half-days back."""
    leave = Leave.objects.select_for_update(no_key=True).get(pk=leave_id)
    if leave.cancelled_at is None:
        leave.slots.all().delete()
        leave.cancelled_at = at
        leave.save(update_fields=["cancelled_at"])
        post_event(verb="cancel_leave", subject=leave, by=by, at=at)
        _check_again(leave.first, leave.last, at=at)
    return leave


def _check_again(first: date, last: date, *, at: datetime) -> None:
    bookings = Booking.objects.touching(first, last).select_related("job").order_by("pk")
    post_findings(list(bookings), at=at)


@transaction.atomic(durable=True)
def add_plant(
    *, kind: str, name: str, payload_kg: int | None = None, by: Any, at: datetime
) -> Resource:
    """Add a mixer or a vehicle that can be booked."""
    _one_name(kind, name)
    plant = Resource.objects.create(kind=kind, name=name, payload_kg=payload_kg)
    post_event(verb="add_plant", subject=plant, by=by, at=at)
    return plant


@transaction.atomic(durable=True)
def change_plant(
    *, plant_id: int, name: str, payload_kg: int | None, by: Any, at: datetime
) -> Resource:
    """Change a mixer's or vehicle's name and what it may carry."""
    plant = _locked_plant(plant_id)
    _one_name(plant.kind, name, but=plant.pk)
    values = {"name": name, "payload_kg": payload_kg}
    before, after = changes(plant, values)
    plant.name, plant.payload_kg = name, payload_kg
    plant.save(update_fields=list(values))
    post_event(verb="change_plant", subject=plant, by=by, at=at, before=before, after=after)
    return plant


@transaction.atomic(durable=True)
def archive_plant(*, plant_id: int, by: Any, at: datetime) -> Resource:
    """Put a mixer or vehicle away: it can no longer be booked; refused where it still is."""
    plant = _locked_plant(plant_id)
    if plant.archived_at is None:
        _refuse_if_booked(plant, plant.name, at)
        plant.archived_at = at
        plant.save(update_fields=["archived_at"])
        post_event(verb="archive_plant", subject=plant, by=by, at=at)
    return plant


def _locked_plant(plant_id: int) -> Resource:
    plant = Resource.objects.select_for_update(no_key=True, of=("self",))
    return plant.get(pk=plant_id, crew=None, person=None)


def _one_name(kind: str, name: str, but: int | None = None) -> None:
    if Resource.objects.filter(kind=kind, name__iexact=name).exclude(pk=but or 0).exists():
        raise ServiceError("One of this name is there already.", field="name")


@transaction.atomic(durable=True)
def add_closed_day(*, calendar: str, day: date, reason: str, by: Any, at: datetime) -> ClosedDay:
    """Close a day for the firm or for the yard's receiving; bookings of it are checked again."""
    if ClosedDay.objects.filter(calendar=calendar, day=day).exists():
        raise ServiceError("That day is closed already.", field="day")
    closed = ClosedDay.objects.create(calendar=calendar, day=day, reason=reason)
    post_event(verb="close_day", subject=closed, by=by, at=at)
    _check_again(day, day, at=at)
    return closed


@transaction.atomic(durable=True)
def reopen_day(*, closed_id: int, by: Any, at: datetime) -> date:
    """Take a closed day back; returns the day. That it was closed stays in the trail."""
    closed = ClosedDay.objects.select_for_update().get(pk=closed_id)
    post_event(verb="reopen_day", subject=closed, by=by, at=at, before={"reason": closed.reason})
    closed.delete()
    _check_again(closed.day, closed.day, at=at)
    return closed.day


def post_resource(*, kind: str, row: Any, by: Any, at: datetime) -> Resource:
    """Give a crew or person its resource, in the transaction that made it."""
    assert_in_transaction()
    name = _free_name(kind, row.name)
    resource = Resource.objects.create(kind=kind, name=name, **{kind: row})
    post_event(verb="add_resource", subject=resource, by=by, at=at)
    return resource


def follow_resource(*, row: Any, at: datetime) -> None:
    """Let a crew's or person's resource follow its name, and its leaving unless it is booked."""
    assert_in_transaction()
    resource = Resource.objects.select_for_update(no_key=True, of=("self",)).get(pk=row.resource.pk)
    if row.archived_at is not None:
        _refuse_if_booked(resource, row.name, at)
    resource.name = _free_name(resource.kind, row.name, but=resource.pk)
    resource.archived_at = row.archived_at
    resource.save(update_fields=["name", "archived_at"])


def _refuse_if_booked(resource: Resource, name: str, at: datetime) -> None:
    ahead = resource.slots.filter(day__gte=london_day(at), booking__isnull=False).first()
    if ahead is not None:
        raise ServiceError(f"{name} is still booked on {ahead.day:%a %-d %b %Y}; move that first.")


def _free_name(kind: str, name: str, but: int | None = None) -> str:
    """Return the name, with a number behind it where two people have the same."""
    taken = set(
        Resource.objects.filter(kind=kind).exclude(pk=but or 0).values_list("name", flat=True)
    )
    tries = (name[:60], *(f"{name[:54]} ({n})" for n in range(2, 1000)))
    return next(found for found in tries if found not in taken)
