"""Lists of costing and the page where hours are entered."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from jobs.costing.models import CostEntry, Hours
from jobs.costing.services import enter_hours, post_cost
from tests.factories import AT, DAY, make_job, make_person, numbers

Log = Callable[[Any], Client]


def worked(**more: Any) -> Hours:
    """Eight hours at a rate that no other figure of the page looks like."""
    values: dict[str, Any] = {
        "job_id": make_job(stage="won").pk, "person_id": make_person(hourly="23.77").pk,
        "day": DAY, "kind": "work", "minutes": 480, "uid": uuid4(), "by": None, "at": AT,
    }  # fmt: skip
    return enter_hours(**values | more)


def form_for(**more: Any) -> dict[str, Any]:
    return {
        "job": make_job(stage="won").pk, "person": make_person().pk, "day": DAY.isoformat(),
        "kind": "work", "hours": "7.5", "note": "kerb side", "uid": uuid4(),
    } | more  # fmt: skip


@pytest.mark.django_db
@pytest.mark.parametrize("count", [1, 3])
def test_the_list_of_hours_costs_a_fixed_number_of_queries(
    count: int, crew: Any, client_for: Log, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        worked()
    client, url = client_for(crew), reverse("costing:hours")
    client.get(url)
    # Session, user, two of permissions; people of the filter, count, rows.
    with django_assert_num_queries(7):
        page = client.get(url).content.decode()
    assert page.count("take back") == count


@pytest.mark.django_db
@pytest.mark.parametrize("count", [1, 3])
def test_the_list_of_jobs_costs_a_fixed_number_of_queries(
    count: int, accountant: Any, client_for: Log, django_assert_num_queries: Any, monkeypatch: Any
) -> None:
    monkeypatch.setattr("jobs.costing.queries.COMMITMENTS", [])  # the yard counts its own
    for _ in range(count):
        post_cost(
            job=make_job(stage="won"), kind="budget", category="other", what="x", day=DAY,
            amount=Decimal(1), source="test", source_id=1, key=f"t:{next(numbers)}", by=None, at=AT,
        )  # fmt: skip
    client, url = client_for(accountant), reverse("costing:list")
    client.get(url)
    # Session, user, two of permissions; jobs and amounts for what is on order; count, rows, two
    # sums of the foot.
    with django_assert_num_queries(10):
        client.get(url)


@pytest.mark.django_db
def test_what_an_hour_costs_shows_in_no_list_of_hours(
    crew: Any, office: Any, accountant: Any, client_for: Log
) -> None:
    hours = worked()
    for user in (crew, office, accountant):
        client = client_for(user)
        for query in ({}, {"export": "csv"}):
            text = client.get(reverse("costing:hours"), query).content.decode()
            assert "8.00" in text or ",8.0," in text
            assert "23.77" not in text
            assert "190.16" not in text  # 8 × 23.77
        page = client.get(reverse("costing:withdraw", args=[hours.pk])).content.decode()
        assert "190.16" not in page


@pytest.mark.django_db
def test_a_jobs_page_shows_costs_to_those_who_may_see_them(
    crew: Any, office: Any, owner: Any, client_for: Log
) -> None:
    hours = worked()
    url = reverse("work:detail", args=[hours.job_id])
    seen = {
        user.role_words: "190.16" in client_for(user).get(url).content.decode()
        for user in (crew, office, owner)
    }
    assert seen == {"Crew lead": False, "Office": False, "Owner": True}


@pytest.mark.django_db(transaction=True)
def test_hours_are_entered_and_the_next_line_is_ready(crew: Any, client_for: Log) -> None:
    data = form_for()
    answer = client_for(crew).post(reverse("costing:hours_create"), data)
    assert answer.status_code == 302
    assert answer["Location"].endswith(f"?job={data['job']}&day=2026-05-14")
    assert Hours.objects.get().minutes == 450
    # The same form again, as a double press sends it.
    client_for(crew).post(reverse("costing:hours_create"), data)
    assert (Hours.objects.count(), CostEntry.objects.count()) == (1, 1)


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"hours": "0"}, "hours"),
        ({"hours": "-3"}, "hours"),
        ({"hours": "17"}, "hours"),
        ({"hours": "eight"}, "hours"),
        ({"hours": "NaN"}, "hours"),
        ({"hours": "1e400"}, "hours"),
        ({"day": "2999-01-01"}, "day"),
        ({"day": "yesterday"}, "day"),
        ({"person": "999999"}, "person"),
        ({"job": ""}, "job"),
        ({"kind": "asleep"}, "kind"),
        ({"uid": "no"}, "uid"),
    ],
)
def test_bad_input_stands_at_its_field_and_posts_nothing(
    typed: dict[str, str], field: str, crew: Any, client_for: Log
) -> None:
    answer = client_for(crew).post(reverse("costing:hours_create"), form_for(**typed))
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert "kerb side" in answer.content.decode()
    assert not Hours.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_taking_back_asks_first(crew: Any, client_for: Log) -> None:
    data = form_for()
    client = client_for(crew)
    client.post(reverse("costing:hours_create"), data)
    url = reverse("costing:withdraw", args=[Hours.objects.get().pk])
    assert "counter-entry" in client.get(url).content.decode()
    assert Hours.objects.filter(withdrawn_at=None).exists()
    assert client.post(url).status_code == 302
    assert not Hours.objects.filter(withdrawn_at=None).exists()
    assert client.post(url).status_code == 404
