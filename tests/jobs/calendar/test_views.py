"""The calendar's pages: findings before saving, what was typed kept, a fixed number of queries."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from jobs.calendar.models import Booking, BookingFinding, Leave, Resource, Slot
from tests.factories import AT, DAY, make_booking, make_crew, make_job, make_person

Log = Callable[[Any], Client]


def form_for(job: Any, crew: Any, **more: Any) -> dict[str, Any]:
    return {
        "job": job.pk, "phase": "lay", "first": DAY.isoformat(), "first_half": "am", "last": "",
        "last_half": "pm", "resources": [crew.resource.pk], "note": "gate code 4", "uid": uuid4(),
        "seen": "",
    } | more  # fmt: skip


@pytest.mark.django_db(transaction=True)
def test_findings_are_shown_first_and_the_second_press_books(office: Any, client_for: Log) -> None:
    client, job, crew = client_for(office), make_job(stage="won"), make_crew()
    saturday = DAY + timedelta(days=2)
    data = form_for(job, crew, first=saturday.isoformat())

    looked = client.post(reverse("calendar:book"), data)
    assert looked.status_code == 422
    page = looked.content.decode()
    assert "The firm does not work on Sat 16 May." in page
    assert "gate code 4" in page
    assert Booking.objects.count() == 0

    seen = looked.context["form"].data["seen"]
    booked = client.post(reverse("calendar:book"), data | {"seen": seen})
    assert booked.status_code == 302
    assert Booking.objects.get().note == "gate code 4"


@pytest.mark.django_db(transaction=True)
def test_a_clash_stands_at_the_field_with_what_was_typed(office: Any, client_for: Log) -> None:
    crew = make_crew(name="North")
    make_booking(make_job(stage="won"), crew=crew)
    answer = client_for(office).post(
        reverse("calendar:book"), form_for(make_job(stage="won"), crew)
    )
    assert answer.status_code == 422
    [sentence] = answer.context["form"].errors["resources"]
    assert sentence.startswith("North is at ")
    assert "gate code 4" in answer.content.decode()


@pytest.mark.django_db
@pytest.mark.parametrize("count", [1, 3])
def test_the_week_costs_a_fixed_number_of_queries(
    count: int, office: Any, client_for: Log, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        make_booking(make_job(stage="booked"))
    client = client_for(office)
    url = f"{reverse('calendar:week')}?week={DAY.isoformat()}"
    client.get(url)
    # Session, user, two of permissions; who is asking, closed days, resources, slots, findings.
    with django_assert_num_queries(9):
        page = client.get(url).content.decode()
    assert page.count('class="booked"') == count


@pytest.mark.django_db
@pytest.mark.parametrize("week", ["", "nonsense", "9999-12-31", "0001-01-01"])
def test_any_week_asked_for_has_an_answer(week: str, office: Any, client_for: Log) -> None:
    assert client_for(office).get(reverse("calendar:week"), {"week": week}).status_code == 200


@pytest.mark.django_db(transaction=True)
def test_moving_shows_findings_first_and_keeps_the_booking(office: Any, client_for: Log) -> None:
    crew = make_crew()
    booking = make_booking(make_job(stage="booked"), crew=crew)
    client, url = client_for(office), reverse("calendar:move", args=[booking.pk])
    saturday = DAY + timedelta(days=2)
    data = {
        "first": saturday.isoformat(), "first_half": "am", "last": "", "last_half": "pm",
        "resources": [crew.resource.pk], "note": "gate code 4", "version": 1, "seen": "",
    }  # fmt: skip
    looked = client.post(url, data)
    assert looked.status_code == 422
    page = looked.content.decode()
    assert "The firm does not work on Sat 16 May." in page
    assert "Move it all the same" in page
    booking.refresh_from_db()
    assert (booking.first_day, booking.version, booking.slots.count()) == (DAY, 1, 2)

    moved = client.post(url, data | {"seen": looked.context["form"].data["seen"]})
    assert moved.status_code == 302
    booking.refresh_from_db()
    assert (booking.first_day, booking.version, booking.note) == (saturday, 2, "gate code 4")

    stale = client.post(url, data | {"first": DAY.isoformat()})
    assert stale.status_code == 422
    assert "Somebody else changed this booking" in stale.content.decode()


@pytest.mark.django_db(transaction=True)
def test_a_move_that_nothing_speaks_against_is_saved_at_once(office: Any, client_for: Log) -> None:
    crew = make_crew()
    booking = make_booking(make_job(stage="booked"), crew=crew)
    data = {
        "first": (DAY + timedelta(days=1)).isoformat(), "first_half": "pm", "last": "",
        "last_half": "pm", "resources": [crew.resource.pk], "version": 1,
    }  # fmt: skip
    answer = client_for(office).post(reverse("calendar:move", args=[booking.pk]), data)
    assert answer.status_code == 302
    assert [slot.half for slot in booking.slots.all()] == ["pm"]


@pytest.mark.django_db(transaction=True)
def test_a_date_told_to_the_customer_is_moved_by_the_owner(
    office: Any, owner: Any, client_for: Log
) -> None:
    crew = make_crew()
    booking = make_booking(make_job(stage="booked"), crew=crew, told_customer_at=AT)
    url = reverse("calendar:move", args=[booking.pk])
    data = {
        "first": (DAY + timedelta(days=1)).isoformat(), "first_half": "am", "last": "",
        "last_half": "pm", "resources": [crew.resource.pk], "version": 1,
    }  # fmt: skip
    refused = client_for(office).post(url, data)
    assert refused.status_code == 422
    assert "the owner has to move it" in refused.content.decode()
    assert client_for(owner).post(url, data).status_code == 302


@pytest.mark.django_db
def test_a_crew_lead_sees_his_own_days_as_a_list(crew: Any, client_for: Log) -> None:
    ours = make_crew(name="North")
    make_person(name="Bea", user=crew, crew=ours)
    mine = make_booking(make_job(stage="booked", title="Mill drive"), crew=ours)
    mixer = Resource.objects.create(kind="mixer", name="Mixer 1")
    Slot.objects.create(resource=mixer, day=DAY, half="am", booking=mine)
    make_booking(make_job(stage="booked", title="Ford yard"))
    client = client_for(crew)
    page = client.get(reverse("calendar:week"), {"week": DAY.isoformat()}).content.decode()
    assert "Prepare" not in page
    assert "Lay: Mill drive" in page
    assert "North, Mixer 1" in page
    assert "Ford yard" not in page
    assert 'class="ruled week"' not in page
    everybody = {"week": DAY.isoformat(), "whose": "all"}
    both = client.get(reverse("calendar:week"), everybody).content.decode()
    assert "Ford yard" in both
    assert 'class="ruled week"' in both


@pytest.mark.django_db
def test_what_the_list_by_day_says_of_a_day(office: Any, client_for: Log) -> None:
    person = make_person(name="Bea")
    leave = Leave.objects.create(person=person, first=DAY, last=DAY, reason="wedding")
    Slot.objects.create(resource=person.resource, day=DAY, half="pm", leave=leave)
    booking = make_booking(make_job(stage="booked", title="Mill drive"))
    booking.slots.filter(half="am").delete()
    page = client_for(office).get(reverse("calendar:week"), {"week": DAY.isoformat()})
    lines = {day.day: day.lines for day in page.context["board"].lines}
    assert [(line.when, line.away) for line in lines[DAY]] == [
        ("afternoon", ""), ("afternoon", "wedding"),
    ]  # fmt: skip
    assert lines[DAY + timedelta(days=1)] == []
    assert "Bea away, afternoon: wedding" in page.content.decode()


@pytest.mark.django_db
@pytest.mark.parametrize("query", ["resource=²", "resource=9" * 30, "job=x&first=y&phase=z"])
def test_a_strange_address_opens_an_empty_form(query: str, office: Any, client_for: Log) -> None:
    assert client_for(office).get(f"{reverse('calendar:book')}?{query}").status_code == 200


@pytest.mark.django_db
def test_an_overridden_finding_says_why(owner: Any, client_for: Log) -> None:
    booking = make_booking(make_job(stage="booked"))
    finding = BookingFinding.objects.create(
        booking=booking, code="x", level="look", sentence="The gate is narrow.", facts="f", at=AT
    )
    client = client_for(owner)
    page = client.get(booking.get_absolute_url()).content.decode()
    assert "The gate is narrow." in page
    assert "Nothing stands in the way" not in page
    answer = client.post(reverse("calendar:override", args=[finding.pk]), {"reason": "agreed"})
    assert answer.status_code == 302
    assert "agreed with the customer" in client.get(booking.get_absolute_url()).content.decode()


@pytest.mark.django_db
def test_a_free_half_day_leads_to_booking_it_for_those_who_may(
    office: Any, crew: Any, client_for: Log
) -> None:
    resource = make_crew(name="North").resource
    url, week = reverse("calendar:week"), {"week": DAY.isoformat(), "whose": "all"}
    page = client_for(office).get(url, week).content.decode()
    assert f"?resource={resource.pk}&amp;first={DAY.isoformat()}" in page
    assert "?resource=" not in client_for(crew).get(url, week).content.decode()


@pytest.mark.django_db
def test_a_booking_says_its_days_in_words(office: Any, client_for: Log) -> None:
    booking = make_booking(make_job(stage="booked"))
    client = client_for(office)
    assert "Thu 14 May, all day" in client.get(booking.get_absolute_url()).content.decode()
    booking.slots.filter(half="pm").delete()
    assert "Thu 14 May, morning" in client.get(booking.get_absolute_url()).content.decode()
