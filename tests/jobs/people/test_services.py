"""People come, change, leave and come back; what an hour costs is a row from its day on."""

from __future__ import annotations

from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError

from jobs.audit.models import Event
from jobs.calendar.models import Resource
from jobs.calendar.rules import half_days
from jobs.calendar.services import book_phase
from jobs.kernel.errors import ServiceError
from jobs.kernel.versions import StaleError
from jobs.people import services
from jobs.people.models import Person
from jobs.people.panels import rates_missing
from tests.factories import DAY, make_crew, make_job, make_person, make_user

pytestmark = pytest.mark.django_db(transaction=True)
ONE = timedelta(days=1)


def values(person: Person, **more: Any) -> dict[str, Any]:
    own = {name: getattr(person, name) for name in ("name", "crew", "is_lead", "phone", "cards")}
    return {"person_id": person.pk, "version": person.version, "user": person.user} | own | more


def test_somebody_new_has_a_rate_and_can_be_booked(at: datetime) -> None:
    crew = make_crew()
    person = services.add_person(
        name="Bea Holt", crew=crew, is_lead=True, hourly=Decimal("22.5"), valid_from=DAY,
        by=None, at=at,
    )  # fmt: skip
    assert Person.objects.with_hourly(DAY).get().hourly == Decimal("22.5")
    assert Person.objects.with_hourly(DAY - ONE).get().hourly is None
    assert person.resource.kind == "person"


def test_a_crew_has_one_lead(at: datetime) -> None:
    crew = make_crew(name="North")
    make_person(name="Bea", crew=crew, is_lead=True)
    with pytest.raises(ServiceError, match="Bea leads North already") as refused:
        services.add_person(name="Cal", crew=crew, is_lead=True, by=None, at=at)
    assert refused.value.field == "is_lead"
    with pytest.raises(ServiceError, match="A lead needs a crew"):
        services.add_person(name="Cal", crew=None, is_lead=True, by=None, at=at)


def test_two_people_of_one_name_are_two(at: datetime) -> None:
    for _ in range(2):
        services.add_person(name="Bea Holt", by=None, at=at)
    names = Resource.objects.order_by("pk").values_list("name", flat=True)
    assert list(names) == ["Bea Holt", "Bea Holt (2)"]


def test_the_calendar_follows_a_new_name(at: datetime) -> None:
    person = services.add_person(name="Bea Holt", by=None, at=at)
    services.change_person(by=None, at=at, **values(person, name="Bea Hill"))
    assert Resource.objects.get().name == "Bea Hill"
    event = Event.objects.get(verb="change_person")
    assert (event.before, event.after) == ({"name": "Bea Holt"}, {"name": "Bea Hill"})
    crew = services.add_crew(name="North", by=None, at=at)
    services.change_crew(crew_id=crew.pk, version=1, name="South", by=None, at=at)
    assert Resource.objects.get(kind="crew").name == "South"


def test_the_second_of_two_savings_is_refused(at: datetime) -> None:
    person = make_person(name="Bea")
    opened = values(person)
    services.change_person(by=None, at=at, **opened | {"phone": "01632 960001"})
    with pytest.raises(StaleError):
        services.change_person(by=None, at=at, **opened | {"phone": "01632 960002"})
    person.refresh_from_db()
    assert (person.phone, person.version) == ("01632 960001", 2)
    crew = make_crew()
    services.change_crew(crew_id=crew.pk, version=1, name="South", by=None, at=at)
    with pytest.raises(StaleError):
        services.change_crew(crew_id=crew.pk, version=1, name="West", by=None, at=at)


def test_a_log_in_belongs_to_one_person(at: datetime) -> None:
    user = make_user("crew")
    make_person(user=user)
    with pytest.raises(ValidationError):
        services.add_person(name="Cal", user=user, by=None, at=at)


def test_a_rate_is_set_once_a_day_and_the_one_before_stays(at: datetime) -> None:
    person = make_person(hourly="20")
    services.set_pay_rate(person_id=person.pk, hourly=Decimal(21), valid_from=DAY, by=None, at=at)
    with pytest.raises(ServiceError, match="A rate from that day"):
        services.set_pay_rate(
            person_id=person.pk, hourly=Decimal(22), valid_from=DAY, by=None, at=at
        )
    rates = [Person.objects.with_hourly(day).get().hourly for day in (DAY - ONE, DAY)]
    assert rates == [Decimal(20), Decimal(21)]


def test_who_leaves_can_be_booked_no_more_and_can_come_back(at: datetime) -> None:
    crew = make_crew()
    person = make_person(crew=crew, is_lead=True)
    services.archive_person(person_id=person.pk, by=None, at=at)
    assert not Person.objects.current().exists()
    assert Resource.objects.get(person=person).archived_at == at
    # Somebody else leads now.
    services.add_person(name="Cal", crew=crew, is_lead=True, by=None, at=at)
    services.restore_person(person_id=person.pk, by=None, at=at)
    assert Resource.objects.get(person=person).archived_at is None
    assert Person.objects.current().filter(is_lead=True).get().name == "Cal"


def test_who_is_booked_ahead_cannot_leave_yet(at: datetime) -> None:
    person = make_person(name="Bea")
    book_phase(
        job_id=make_job(stage="won").pk, phase="lay", resource_ids=[person.resource.pk],
        when=half_days(DAY, DAY), key=uuid4(), by=None, at=at,
    )  # fmt: skip
    with pytest.raises(ServiceError, match="Bea is still booked on Thu 14 May 2026"):
        services.archive_person(person_id=person.pk, by=None, at=at)
    assert Person.objects.current().exists()
    services.archive_person(person_id=person.pk, by=None, at=at + ONE)
    assert not Person.objects.current().exists()


def test_a_crew_is_dissolved_when_nobody_is_in_it(at: datetime) -> None:
    crew = make_crew(name="North")
    person = make_person(name="Bea", crew=crew)
    with pytest.raises(ServiceError, match="Bea is still in North"):
        services.archive_crew(crew_id=crew.pk, by=None, at=at)
    services.change_person(by=None, at=at, **values(person, crew=None))
    services.archive_crew(crew_id=crew.pk, by=None, at=at)
    assert Resource.objects.get(crew=crew).archived_at == at


def test_crews_have_different_names(at: datetime) -> None:
    services.add_crew(name="North", by=None, at=at)
    with pytest.raises(ServiceError, match="there already"):
        services.add_crew(name="NORTH", by=None, at=at)
    other = services.add_crew(name="South", by=None, at=at)
    with pytest.raises(ServiceError, match="there already"):
        services.change_crew(crew_id=other.pk, version=1, name="north", by=None, at=at)


def test_today_says_whose_rate_is_missing(accountant: Any, at: datetime) -> None:
    make_person(name="Bea")
    services.add_person(name="Cal", by=None, at=at)
    [entry] = rates_missing(accountant, at)
    assert entry.title == "Cal: what an hour costs is not set"
