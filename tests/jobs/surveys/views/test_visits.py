"""Pages of visits."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from jobs.surveys.models import QUESTIONS, Survey
from tests.factories import AT, make_area, make_job, make_survey

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Any], Client]
# Session, user, his permissions (two), count, rows.
LIST_QUERIES = 6
BASE = {
    "visited_at": "2026-05-20T14:30", "base_kind": "tarmac", "base_condition": "sound",
    "base_texture_mm": "1.5",
}  # fmt: skip


@pytest.mark.parametrize("count", [1, 3])
def test_the_diary_costs_the_same_for_any_number(
    count: int, owner: Any, client_for: ClientFor, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        make_survey()
    client = client_for(owner)
    with django_assert_num_queries(LIST_QUERIES):
        response = client.get("/surveys/")
    assert len(response.context["table"].rows) == count


def test_the_diary_filters_by_kind_and_state(owner: Any, client_for: ClientFor) -> None:
    done = make_survey(finished_at=AT)
    check = make_survey(kind="check")
    client = client_for(owner)

    def found(query: str) -> set[Survey]:
        return {row.record for row in client.get(f"/surveys/?{query}").context["table"].rows}

    assert found("state=finished") == {done}
    assert found("kind=check") == {check}
    assert found(f"q={done.job.reference}") == {done}
    assert "finished" in client.get("/surveys/?export=csv&state=finished").content.decode()


def test_a_visit_is_put_into_the_diary_on_londons_clock(owner: Any, client_for: ClientFor) -> None:
    job = make_job()
    response = client_for(owner).post(f"/surveys/add/{job.pk}/", BASE | {"uid": str(uuid4())})
    survey = Survey.objects.get()
    assert response["Location"] == f"/surveys/{survey.pk}/"
    # British Summer Time is an hour ahead of UTC.
    assert survey.visited_at.isoformat() == "2026-05-20T13:30:00+00:00"


@pytest.mark.parametrize("texture", ["-1", "much", "60"])
def test_a_texture_that_cannot_be_is_refused_with_what_was_typed(
    texture: str, owner: Any, client_for: ClientFor
) -> None:
    data = BASE | {"uid": str(uuid4()), "base_texture_mm": texture}
    response = client_for(owner).post(f"/surveys/add/{make_job().pk}/", data)
    assert response.status_code == 422
    assert response.context["form"].errors["base_texture_mm"]
    assert f'value="{texture}"' in response.content.decode()
    assert not Survey.objects.exists()


def test_a_check_asks_only_for_the_visit(owner: Any, client_for: ClientFor) -> None:
    survey = make_area(make_survey(finished_at=AT)).survey
    client = client_for(owner)
    url = f"/surveys/add/{survey.job_id}/?kind=check"
    assert set(client.get(url).context["form"].fields) == {"uid", "visited_at"}
    client.post(url, {"uid": str(uuid4()), "visited_at": "2026-06-01T08:00"})
    check = Survey.objects.get(kind="check")
    page = client.get(f"/surveys/{check.pk}/").content.decode()
    assert "Difference from the survey" in page
    assert check.areas.count() == 1


def test_the_page_shows_sizes_plan_and_what_is_not_asked(owner: Any, client_for: ClientFor) -> None:
    survey = make_area(name="drive").survey
    page = client_for(owner).get(f"/surveys/{survey.pk}/").content.decode()
    assert "21.08\N{NO-BREAK SPACE}m²" in page
    assert "19.20\N{NO-BREAK SPACE}m" in page
    assert 'class="plan"' in page
    assert "Not asked yet" in page
    # Every question but that of tar, which is asked only where old tarmac is dug out.
    assert "airbricks stay clear, thresholds stay clear" in page
    assert "Each is a caution on the quote until it is answered." in page


def test_finishing_from_the_page_and_what_stands_in_its_way(
    owner: Any, client_for: ClientFor
) -> None:
    survey = make_survey()
    client = client_for(owner)
    said = client.post(f"/surveys/{survey.pk}/finish/", follow=True).content.decode()
    assert "Add at least one area before you finish." in said
    make_area(survey)
    said = client.post(f"/surveys/{survey.pk}/finish/", follow=True).content.decode()
    assert "is finished." in said
    survey.job.refresh_from_db()
    assert survey.job.stage == "surveyed"


def test_two_people_answering_one_survey(owner: Any, client_for: ClientFor) -> None:
    survey = make_survey()
    client = client_for(owner)
    url = f"/surveys/{survey.pk}/change/"
    form = client.get(url).context["form"]
    answers = dict.fromkeys(QUESTIONS, "unknown")
    hidden = {"version": "1", "opened": form["opened"].value()}
    client.post(url, BASE | answers | {"version": "1", "trees": "yes"})
    refused = client.post(url, BASE | answers | hidden | {"drains": "yes"})
    assert refused.status_code == 422
    labels = [change.label for change in refused.context["stale"]]
    assert "Trees or roots near" in labels
    assert refused.context["form"]["drains"].value() == "yes"
