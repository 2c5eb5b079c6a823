"""Pages of sites."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from jobs.sites.rules import QUESTIONS
from tests.factories import AT, make_job, make_site

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Any], Client]
# Session, user, his permissions (two), count, rows.
LIST_QUERIES = 6


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_the_same_for_any_number(
    count: int, office: Any, client_for: ClientFor, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        make_job()
    client = client_for(office)
    with django_assert_num_queries(LIST_QUERIES):
        response = client.get("/sites/")
    assert len(response.context["table"].rows) == count


def test_the_list_filters_by_open_questions_and_what_is_put_away(
    office: Any, client_for: ClientFor
) -> None:
    answered: dict[str, Any] = dict.fromkeys(QUESTIONS, "yes")
    asked = make_site(name="Asked", **answered)
    opened = make_site(name="Open", water="no")
    make_site(name="Away", archived_at=AT)
    client = client_for(office)

    def names(query: str) -> list[str]:
        return [row.record.name for row in client.get(f"/sites/?{query}").context["table"].rows]

    assert names("") == [asked.name, opened.name]
    assert names("asked=open") == ["Open"]
    assert names("asked=done") == ["Asked"]
    assert names("kept=archived") == ["Away"]
    assert names(f"q={opened.customer.name.replace(' ', '+')}") == ["Open"]


def test_the_page_warns_of_what_the_crew_meets(office: Any, client_for: ClientFor) -> None:
    site = make_site(water="no", power="yes")
    page = client_for(office).get(f"/sites/{site.pk}/").content.decode()
    assert "No water on site: bring it." in page
    assert "Four questions not asked yet." in page


def test_answers_of_the_row_are_chosen_on_its_form(office: Any, client_for: ClientFor) -> None:
    site = make_site(water="no")
    form = client_for(office).get(f"/sites/{site.pk}/change/").context["form"]
    assert (form["water"].value(), form["power"].value()) == ("no", "unknown")
