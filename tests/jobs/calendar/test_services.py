"""Bookings take half-days, a clash is refused, and what is found is said before saving."""

from __future__ import annotations

import threading
from datetime import date, datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db import IntegrityError, connection, connections, transaction

from jobs.calendar import services
from jobs.calendar.enums import Half
from jobs.calendar.models import Booking, BookingFinding, Resource, Slot
from jobs.calendar.rules import HalfDay, half_days
from jobs.calendar.services import ClashError
from jobs.kernel.errors import ServiceError
from jobs.people.services import add_crew, add_person
from jobs.work.models import Job
from tests.factories import AT, DAY, make_crew, make_job, make_person, make_user

pytestmark = pytest.mark.django_db(transaction=True)
DAY_AFTER = DAY + timedelta(days=1)


def book(
    job: Job, *resources: Resource, first: date = DAY, last: date = DAY, **more: Any
) -> Booking:
    values: dict[str, Any] = {
        "job_id": job.pk, "phase": "lay", "resource_ids": [row.pk for row in resources],
        "when": half_days(first, last), "key": uuid4(), "by": None, "at": AT,
    }  # fmt: skip
    return services.book_phase(**values | more)


def test_a_booking_takes_its_half_days_and_moves_the_job_on() -> None:
    job, crew = make_job(stage="won"), make_crew()
    booking = book(job, crew.resource, last=DAY_AFTER)
    assert booking.slots.count() == 4
    assert (booking.first_day, booking.last_day) == (DAY, DAY_AFTER)
    job.refresh_from_db()
    assert job.stage == "booked"


def test_the_same_press_twice_books_once() -> None:
    job, crew, key = make_job(stage="won"), make_crew(), uuid4()
    first = book(job, crew.resource, key=key)
    assert book(job, crew.resource, key=key) == first
    assert Booking.objects.count() == 1


def test_a_clash_says_who_is_where_and_when() -> None:
    crew = make_crew(name="North")
    there = make_job(stage="won", reference="J-2026-9001", title="Mill drive")
    book(there, crew.resource)
    with pytest.raises(ClashError) as refused:
        book(make_job(stage="won"), crew.resource)
    assert refused.value.message == (
        "North is at J-2026-9001 Mill drive on Thu 14 May, morning and 1 more half-days clash."
    )
    assert Booking.objects.count() == 1


def test_the_database_itself_refuses_a_clash() -> None:
    crew = make_crew()
    booking = book(make_job(stage="won"), crew.resource)
    with pytest.raises(IntegrityError), transaction.atomic():
        Slot.objects.create(resource=crew.resource, day=DAY, half="am", booking=booking)


def test_only_a_won_job_can_be_booked() -> None:
    with pytest.raises(ServiceError, match="only a job that was won"):
        book(make_job(stage="quoted"), make_crew().resource)


def test_a_preview_says_what_is_found_and_keeps_nothing() -> None:
    job, crew = make_job(stage="won"), make_crew()
    holiday = date(2026, 5, 25)  # spring bank holiday of England and Wales, GOV.UK
    preview = services.preview_booking(
        job_id=job.pk, phase="lay", resource_ids=[crew.resource.pk],
        when=half_days(holiday, holiday), by=None, at=AT,
    )  # fmt: skip
    assert [row.sentence for row in preview.findings if row.code == "closed_day"] == [
        "The firm does not work on Mon 25 May."
    ]
    assert Booking.objects.count() == 0
    assert Slot.objects.count() == 0
    job.refresh_from_db()
    assert job.stage == "won"


def test_somebody_of_the_crew_on_leave_is_found() -> None:
    crew = make_crew()
    person = make_person(name="Ann Reed", crew=crew)
    services.add_leave(person_id=person.pk, first=DAY, last=DAY, reason="holiday", by=None, at=AT)
    booking = book(make_job(stage="won"), crew.resource)
    assert [row.sentence for row in booking.findings.filter(code="person_away")] == [
        "Ann Reed of this crew is away (holiday) on Thu 14 May."
    ]


def test_a_man_on_leave_cannot_be_booked_himself() -> None:
    person = make_person(name="Ann Reed")
    services.add_leave(person_id=person.pk, first=DAY, last=DAY, reason="holiday", by=None, at=AT)
    with pytest.raises(ClashError, match=r"Ann Reed is away \(holiday\)"):
        book(make_job(stage="won"), person.resource)


def test_leave_is_refused_where_the_person_is_booked() -> None:
    person = make_person()
    book(make_job(stage="won"), person.resource)
    with pytest.raises(ClashError):
        services.add_leave(person_id=person.pk, first=DAY, last=DAY, reason="", by=None, at=AT)


def test_a_move_frees_the_old_half_days_and_a_stale_page_is_refused() -> None:
    crew = make_crew()
    booking = book(make_job(stage="won"), crew.resource)
    services.move_booking(
        booking_id=booking.pk, version=1, resource_ids=[crew.resource.pk],
        when=half_days(DAY_AFTER, DAY_AFTER), by=make_user("owner"), at=AT,
    )  # fmt: skip
    assert set(Slot.objects.values_list("day", flat=True)) == {DAY_AFTER}
    with pytest.raises(ServiceError, match="Somebody else changed this booking"):
        services.cancel_booking(booking_id=booking.pk, version=1, reason="", by=None, at=AT)


def test_a_date_told_to_the_customer_is_moved_by_the_owner_only() -> None:
    crew = make_crew()
    booking = book(make_job(stage="won"), crew.resource)
    services.tell_customer(booking_id=booking.pk, version=1, by=None, at=AT)
    move: dict[str, Any] = {
        "booking_id": booking.pk, "version": 2, "resource_ids": [crew.resource.pk],
        "when": half_days(DAY_AFTER, DAY_AFTER), "at": AT,
    }  # fmt: skip
    with pytest.raises(ServiceError, match="the owner has to move it"):
        services.move_booking(**move, by=make_user("office"))
    assert services.move_booking(**move, by=make_user("owner")).first_day == DAY_AFTER


def test_an_override_stands_until_its_facts_change(at: datetime) -> None:
    crew = make_crew()
    saturday = date(2026, 5, 16)
    booking = book(make_job(stage="won"), crew.resource, first=saturday, last=saturday)
    finding = booking.findings.get(code="closed_day")
    services.override_finding(finding_id=finding.pk, reason="crew agrees", by=None, at=at)
    services.sweep_findings(at=at)
    assert booking.findings.get(code="closed_day").override_reason == "crew agrees"
    services.move_booking(
        booking_id=booking.pk, version=1, resource_ids=[crew.resource.pk],
        when=half_days(saturday, saturday + timedelta(days=1)), by=make_user("owner"), at=at,
    )  # fmt: skip
    assert booking.findings.get(code="closed_day").overridden_at is None


def test_findings_are_gone_when_the_matter_is(at: datetime) -> None:
    booking = book(make_job(stage="won"), make_crew().resource)
    BookingFinding.objects.create(
        booking=booking, code="old", level="look", sentence="Was so.", facts="x", at=at
    )
    services.sweep_findings(at=at)
    assert not booking.findings.filter(code="old").exists()


def test_a_newcomer_can_be_booked_at_once(at: datetime) -> None:
    crew = add_crew(name="South", by=None, at=at)
    person = add_person(name="Bea Holt", by=None, at=at)
    assert crew.resource.kind == "crew"
    assert person.resource.name == "Bea Holt"


def race(lock: bool) -> list[object]:
    """Two screens book the same crew and half-day at once; returns what each got."""
    crew = make_crew()
    jobs = [make_job(stage="won"), make_job(stage="won")]
    barrier = threading.Barrier(2)
    answers: list[object] = []

    def press(job: Job) -> None:
        try:
            barrier.wait(5)
            if lock:
                answers.append(book(job, crew.resource).pk)
            else:
                # The control: look, wait for the other to look as well, then write unguarded.
                taken = Slot.objects.filter(resource=crew.resource, day=DAY).exists()
                barrier.wait(5)
                answers.append("free" if not taken else "taken")
        except ClashError as error:
            answers.append(error.code)
        finally:
            connections.close_all()

    threads = [threading.Thread(target=press, args=(job,)) for job in jobs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(20)
    return answers


@pytest.mark.postgres
def test_two_screens_at_once_book_one() -> None:
    assert connection.vendor == "postgresql"
    # Unguarded, both would find the half-day free: the race is real.
    assert race(lock=False) == ["free", "free"]
    answers = race(lock=True)
    assert sorted(answer == "clash" for answer in answers) == [False, True]
    assert Slot.objects.count() == 2


def test_half_days_run_from_half_to_half() -> None:
    assert half_days(DAY, DAY_AFTER, first_half="pm", last_half="am") == [
        HalfDay(DAY, Half.AFTERNOON),
        HalfDay(DAY_AFTER, Half.MORNING),
    ]
    with pytest.raises(ServiceError, match="before the first"):
        half_days(DAY, DAY, first_half="pm", last_half="am")
    with pytest.raises(ServiceError, match="more than 60 days"):
        half_days(DAY, DAY + timedelta(days=60))
