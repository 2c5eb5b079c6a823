"""People, crews and what an hour costs; a new rate begins on its day and ends the one before."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from jobs.audit.services import changes, post_event
from jobs.kernel.errors import ServiceError
from jobs.kernel.registries import post_made
from jobs.kernel.versions import lock_version
from jobs.people.models import Crew, PayRate, Person


@transaction.atomic(durable=True)
def add_person(
    *,
    by: Any,
    at: datetime,
    hourly: Decimal | None = None,
    valid_from: date | None = None,
    **values: Any,
) -> Person:
    """Add somebody who works on site; what an hour costs is said by those who may see costs."""
    _one_lead(values.get("crew"), values.get("is_lead", False), None)
    person = Person(**values)
    person.full_clean()
    person.save()
    if hourly is not None and valid_from is not None:
        PayRate.objects.create(person=person, valid_from=valid_from, hourly=hourly)
    post_event(verb="add_person", subject=person, by=by, at=at)
    post_made("person", person, by=by, at=at)
    return person


@transaction.atomic(durable=True)
def change_person(*, person_id: int, version: int, by: Any, at: datetime, **values: Any) -> Person:
    """Change a person's name, crew, telephone, cards or log-in; `version` is the page's own."""
    person = lock_version(Person, person_id, version)
    _one_lead(values.get("crew"), values.get("is_lead", False), person.pk)
    before, after = changes(person, values)
    for name, value in values.items():
        setattr(person, name, value)
    _keep(person, "person_changed", list(values), by=by, at=at)
    post_event(verb="change_person", subject=person, by=by, at=at, before=before, after=after)
    return person


def _keep(row: Person | Crew, kind: str, names: list[str], *, by: Any, at: datetime) -> None:
    """Save the named fields as a new version and let higher rooms follow or refuse."""
    row.full_clean()
    row.version += 1
    row.save(update_fields=[*names, "version"])
    post_made(kind, row, by=by, at=at)


@transaction.atomic(durable=True)
def archive_person(*, person_id: int, by: Any, at: datetime) -> Person:
    """Note that somebody left: no bookings, no hours from now on; what was done stays.

    Refused by the calendar where that person is still booked.
    """
    person: Person = Person.objects.select_for_update(no_key=True, of=("self",)).get(pk=person_id)
    if person.archived_at is None:
        person.archived_at, person.is_lead = at, False
        _keep(person, "person_changed", ["archived_at", "is_lead"], by=by, at=at)
        post_event(verb="archive_person", subject=person, by=by, at=at)
    return person


@transaction.atomic(durable=True)
def restore_person(*, person_id: int, by: Any, at: datetime) -> Person:
    """Somebody who left works here again."""
    person: Person = Person.objects.select_for_update(no_key=True, of=("self",)).get(pk=person_id)
    if person.archived_at is not None:
        person.archived_at = None
        _keep(person, "person_changed", ["archived_at"], by=by, at=at)
        post_event(verb="restore_person", subject=person, by=by, at=at)
    return person


def _one_lead(crew: Crew | None, is_lead: bool, but: int | None) -> None:
    if not is_lead:
        return
    if crew is None:
        raise ServiceError("A lead needs a crew.", field="crew")
    other = Person.objects.current().filter(crew=crew, is_lead=True).exclude(pk=but).first()
    if other is not None:
        raise ServiceError(f"{other.name} leads {crew.name} already.", field="is_lead")


@transaction.atomic(durable=True)
def set_pay_rate(
    *, person_id: int, hourly: Decimal, valid_from: date, by: Any, at: datetime
) -> PayRate:
    """Set what an hour costs from a day on; hours entered before keep what they cost then."""
    person = Person.objects.select_for_update(no_key=True, of=("self",)).get(pk=person_id)
    if PayRate.objects.filter(person=person, valid_from=valid_from).exists():
        raise ServiceError("A rate from that day is there already.", field="valid_from")
    rate = PayRate.objects.create(person=person, valid_from=valid_from, hourly=hourly)
    post_event(verb="set_pay_rate", subject=person, by=by, at=at, after={"hourly": hourly})
    return rate


@transaction.atomic(durable=True)
def add_crew(*, name: str, by: Any, at: datetime) -> Crew:
    """Add a crew; the calendar gives it its slots."""
    if Crew.objects.filter(name__iexact=name).exists():
        raise ServiceError("A crew of this name is there already.", field="name")
    crew = Crew.objects.create(name=name)
    post_event(verb="add_crew", subject=crew, by=by, at=at)
    post_made("crew", crew, by=by, at=at)
    return crew


@transaction.atomic(durable=True)
def change_crew(*, crew_id: int, version: int, name: str, by: Any, at: datetime) -> Crew:
    """Give a crew another name; `version` is the page's own."""
    crew = lock_version(Crew, crew_id, version)
    if Crew.objects.filter(name__iexact=name).exclude(pk=crew.pk).exists():
        raise ServiceError("A crew of this name is there already.", field="name")
    before, after = changes(crew, {"name": name})
    crew.name = name
    _keep(crew, "crew_changed", ["name"], by=by, at=at)
    post_event(verb="change_crew", subject=crew, by=by, at=at, before=before, after=after)
    return crew


@transaction.atomic(durable=True)
def archive_crew(*, crew_id: int, by: Any, at: datetime) -> Crew:
    """Dissolve a crew in which nobody is any more; refused where it is still booked."""
    crew = Crew.objects.select_for_update(no_key=True).get(pk=crew_id)
    if crew.archived_at is not None:
        return crew
    first = crew.people.filter(archived_at=None).first()
    if first is not None:
        raise ServiceError(f"{first.name} is still in {crew.name}; move everybody out first.")
    crew.archived_at = at
    _keep(crew, "crew_changed", ["archived_at"], by=by, at=at)
    post_event(verb="archive_crew", subject=crew, by=by, at=at)
    return crew
