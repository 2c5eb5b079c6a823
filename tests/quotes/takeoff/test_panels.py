"""What the take-off adds to a survey's, a job's and a booking's page."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from django.test import Client

from tests.factories import make_area, make_booking, make_job
from tests.quotes.world import make_quote_world

pytestmark = pytest.mark.django_db
Login = Callable[[Any], Client]


def test_survey_page_shows_hard_cautions_and_whose_they_are(office: Any, client_for: Login) -> None:
    world = make_quote_world(front_garden="yes")
    world.kit.uv_stable = False
    world.kit.save()

    text = client_for(office).get(world.survey.get_absolute_url()).content.decode()

    assert "not UV-stable" in text
    assert "The customer reads this too." in text
    assert "Whether planning permission is needed is not clear" in text
    assert "isocyanates" not in text  # a plain note, kept for the take-off's own page


def test_the_customers_sentences_leave_out_the_firms(office: Any, client_for: Login) -> None:
    world = make_quote_world()
    world.kit.uv_stable = False
    world.kit.save()
    world.survey.areas.update(use="heavy")
    revision = world.start()

    text = client_for(office).get(revision.get_absolute_url()).content.decode()

    ours, his = text.split("What the customer is cautioned about")
    assert "the resin maker&#x27;s word in writing" in ours
    assert "not UV-stable" in his
    assert "heavy use" not in his


def test_job_and_booking_lead_to_the_day(crew: Any, client_for: Login) -> None:
    world = make_quote_world()
    booking = make_booking(world.job, day=date(2026, 5, 19))
    client = client_for(crew)

    job = client.get(f"/jobs/{world.job.pk}/").content.decode()
    booked = client.get(booking.get_absolute_url()).content.decode()

    assert f'href="/take-off/{world.survey.pk}/day/"' in job
    assert f'href="/take-off/{world.survey.pk}/day/?day=2026-05-19"' in booked
    day = client.get(f"/take-off/{world.survey.pk}/day/?day=2026-05-19").content.decode()
    assert 'value="2026-05-19"' in day


def test_a_job_without_survey_has_no_such_part(crew: Any, client_for: Login) -> None:
    job = make_job()

    assert "dry window" not in client_for(crew).get(f"/jobs/{job.pk}/").content.decode()


@pytest.mark.parametrize("count", [1, 3])
def test_queries_of_the_page_do_not_grow_with_its_areas(
    count: int, storeman: Any, client_for: Login, django_assert_num_queries: Any
) -> None:
    world = make_quote_world()
    pour = world.survey.areas.get().pour
    for number in range(count - 1):
        make_area(world.survey, name=f"path {number}", pour=pour)
    client = client_for(storeman)
    client.get(f"/take-off/{world.survey.pk}/")

    with django_assert_num_queries(QUERIES):
        client.get(f"/take-off/{world.survey.pk}/")


QUERIES = 17
