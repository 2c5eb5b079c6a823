"""People, crews and what an hour costs; a new rate begins on its day and ends the one before."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from jobs.audit.services import changes, post_event
from jobs.kernel.errors import ServiceError
from jobs.kernel.registries import post_made
from jobs.people.models import Crew, PayRate, Person

FIELDS = ("name", "crew", "is_lead", "phone", "cards", "user")


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
def change_person(*, person_id: int, by: Any, at: datetime, **values: Any) -> Person:
    """Change a person's name, crew, telephone or cards."""
    person = Person.objects.select_for_update(no_key=True, of=("self",)).get(pk=person_id)
    _one_lead(values.get("crew"), values.get("is_lead", False), person.pk)
    before, after = changes(person, values)
    for name, value in values.items():
        setattr(person, name, value)
    person.full_clean()
    person.save(update_fields=list(values))
    post_event(verb="change_person", subject=person, by=by, at=at, before=before, after=after)
    return person


def _one_lead(crew: Crew | None, is_lead: bool, but: int | None) -> None:
    if not is_lead:
        return
    if crew is None:
        raise ServiceError("A lead needs a crew.", field="crew")
    other = Person.objects.filter(crew=crew, is_lead=True).exclude(pk=but).first()
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
