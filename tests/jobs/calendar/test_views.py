"""The calendar's pages: findings before saving, what was typed kept, a fixed number of queries."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from jobs.calendar.models import Booking
from tests.factories import DAY, make_booking, make_crew, make_job

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
    # Session, user, two of permissions; closed days, resources, slots, findings.
    with django_assert_num_queries(8):
        page = client.get(url).content.decode()
    assert page.count('class="booked"') == count


@pytest.mark.django_db
@pytest.mark.parametrize("week", ["", "nonsense", "9999-12-31", "0001-01-01"])
def test_any_week_asked_for_has_an_answer(week: str, office: Any, client_for: Log) -> None:
    assert client_for(office).get(reverse("calendar:week"), {"week": week}).status_code == 200
