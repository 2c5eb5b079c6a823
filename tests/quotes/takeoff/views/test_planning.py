"""The planning question: asked once, kept, shown on the take-off, told to the customer."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from jobs.audit.models import Event
from quotes.quoting.queries import build_sheet
from quotes.takeoff.models import PlanningAnswers
from quotes.takeoff.queries import planning_sheet, take_off
from tests.quotes.world import make_quote_world

pytestmark = pytest.mark.django_db
Login = Callable[[Any], Client]
ANSWERS = {
    "nation": "england", "house": "yes", "listed": "no", "article_4": "no", "dropped_kerb": "no",
    "porous_below": "yes", "drains_on_plot": "no", "front_m2": "",
}  # fmt: skip


def test_answers_are_kept_and_settle_the_question(office: Any, client_for: Login) -> None:
    world = make_quote_world(base_kind="concrete", front_garden="yes")
    client = client_for(office)
    before = client.get(f"/take-off/{world.survey.pk}/").content.decode()

    response = client.post(f"/take-off/{world.survey.pk}/planning/", ANSWERS)

    assert response.status_code == 302
    assert "Is the building listed?" in before
    after = client.get(f"/take-off/{world.survey.pk}/").content.decode()
    assert "Planning permission seems to be needed" in after
    assert "Is the building listed?" not in after
    assert Event.objects.filter(verb="answer planning question").count() == 1


def test_a_part_at_the_front_of_five_square_metres_is_free(office: Any, client_for: Login) -> None:
    world = make_quote_world(base_kind="concrete", front_garden="yes")
    client = client_for(office)
    client.post(f"/take-off/{world.survey.pk}/planning/", ANSWERS | {"front_m2": "5"})

    found = planning_sheet(world.survey)

    assert found is not None
    assert found.answer.answer == "not needed"
    client.post(f"/take-off/{world.survey.pk}/planning/", ANSWERS)
    assert PlanningAnswers.objects.get().front_m2 is None


@pytest.mark.parametrize(
    ("changed", "sentence"),
    [
        ({"nation": "atlantis"}, "Choose one of the list."),
        ({"listed": "perhaps"}, "Choose one of the list."),
        ({"front_m2": "0"}, "More than 0 m²"),
        ({"front_m2": "lots"}, "Give a figure like 12.5."),
        ({"front_m2": "1e400"}, "no more than 8 digits"),
    ],
)
def test_a_bad_answer_is_kept_and_nothing_saved(
    office: Any, client_for: Login, changed: dict[str, str], sentence: str
) -> None:
    world = make_quote_world()

    response = client_for(office).post(f"/take-off/{world.survey.pk}/planning/", ANSWERS | changed)

    assert response.status_code == 422
    assert sentence in response.content.decode()
    assert not PlanningAnswers.objects.exists()


def test_the_customer_reads_one_sentence_of_it(office: Any, client_for: Login) -> None:
    world = make_quote_world(base_kind="concrete", front_garden="yes")
    client_for(office).post(f"/take-off/{world.survey.pk}/planning/", ANSWERS)
    revision = world.start()

    sheet = build_sheet(revision, list(revision.lines.all()), take_off(world.survey))
    page = client_for(office).get(revision.get_absolute_url()).content.decode()

    told = [sentence for sentence in sheet.cautions if "Planning permission" in sentence]
    assert len(told) == 1
    assert told[0] in page
    assert "What the customer is cautioned about" in page


def test_a_back_garden_is_no_matter_for_the_customer(office: Any) -> None:
    world = make_quote_world(base_kind="concrete", front_garden="no")
    revision = world.start()

    sheet = build_sheet(revision, list(revision.lines.all()), take_off(world.survey))

    assert [sentence for sentence in sheet.cautions if "lanning" in sentence] == []


def test_a_survey_without_areas_asks_all_the_same(office: Any, client_for: Login) -> None:
    world = make_quote_world()
    world.survey.areas.all().delete()

    text = client_for(office).get(f"/take-off/{world.survey.pk}/planning/").content.decode()

    assert "Nothing is measured yet" in text
