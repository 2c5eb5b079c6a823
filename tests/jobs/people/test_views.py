"""The pages of people: costs only for those who may see them, and two people on one page."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from jobs.people.models import Person
from tests.factories import AT, make_crew, make_person, make_user

Log = Callable[[Any], Client]
LIST = "/people/"


@pytest.mark.django_db
@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_a_fixed_number_of_queries(
    count: int, owner: Any, client_for: Log, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        make_person(crew=make_crew(), user=make_user("crew"))
    client = client_for(owner)
    client.get(LIST)
    # Session, user, two of permissions; count, rows, crews of the filter, crews and their people.
    with django_assert_num_queries(9):
        page = client.get(LIST).content.decode()
    assert page.count("set the rate") >= count


@pytest.mark.django_db
def test_what_an_hour_costs_is_seen_by_few(
    owner: Any, office: Any, accountant: Any, client_for: Log
) -> None:
    person = make_person(hourly="23.75")
    seen = {}
    for name, user in (("owner", owner), ("office", office), ("accountant", accountant)):
        client = client_for(user)
        texts = [client.get(LIST).content.decode()]
        texts.append(client.get(LIST, {"export": "csv"}).content.decode())
        edit = client.get(reverse("people:edit", args=[person.pk]))
        texts += [edit.content.decode()] if edit.status_code == 200 else []
        seen[name] = any("23.75" in text for text in texts)
        assert ("£ an hour" in texts[0]) is seen[name]
    assert seen == {"owner": True, "office": False, "accountant": True}


@pytest.mark.django_db
def test_the_list_leaves_out_who_left_until_asked(office: Any, client_for: Log) -> None:
    make_person(name="Bea Holt")
    make_person(name="Cal Hurst", archived_at=AT)
    client = client_for(office)
    here = client.get(LIST).content.decode()
    left = client.get(LIST, {"state": "left"}).content.decode()
    assert ("Bea Holt" in here, "Cal Hurst" in here) == (True, False)
    assert ("Bea Holt" in left, "Cal Hurst" in left) == (False, True)


@pytest.mark.django_db(transaction=True)
def test_two_people_save_one_page(owner: Any, office: Any, client_for: Log) -> None:
    person = make_person(name="Bea", phone="01632 960001")
    url = reverse("people:edit", args=[person.pk])
    first, second = client_for(office), client_for(owner)

    def form_of(client: Client, **more: Any) -> dict[str, Any]:
        shown = client.get(url).context["form"].initial
        names = ("name", "phone", "cards", "version", "opened")
        return {name: shown[name] for name in names} | more

    mine, theirs = form_of(first, phone="01632 960002"), form_of(second, phone="01632 960003")
    assert first.post(url, mine).status_code == 302
    refused = second.post(url, theirs)
    assert refused.status_code == 422
    page = refused.content.decode()
    assert "Changed while you had the page open" in page
    for number in ("01632 960001", "01632 960002", "01632 960003"):
        assert number in page
    again = theirs | {name: refused.context["form"].data[name] for name in ("version", "opened")}
    assert second.post(url, again).status_code == 302
    assert Person.objects.get().phone == "01632 960003"


@pytest.mark.django_db(transaction=True)
def test_office_adds_somebody_without_seeing_costs(office: Any, client_for: Log) -> None:
    url = reverse("people:create")
    client = client_for(office)
    assert "an hour" not in client.get(url).content.decode()
    assert client.post(url, {"name": "Cal Hurst", "hourly": "1"}).status_code == 302
    person = Person.objects.get()
    assert person.pay_rates.count() == 0


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"name": ""}, "name"),
        ({"hourly": "-1"}, "hourly"),
        ({"hourly": "NaN"}, "hourly"),
        ({"hourly": "1e9"}, "hourly"),
        ({"valid_from": "31/31/2026"}, "valid_from"),
        ({"crew": "999999"}, "crew"),
        ({"user": "abc"}, "user"),
        ({"is_lead": "on"}, "crew"),
    ],
)
def test_bad_input_stands_at_its_field(
    typed: dict[str, str], field: str, owner: Any, client_for: Log
) -> None:
    data = {"name": "Cal Hurst", "hourly": "21", "valid_from": "2026-05-14"} | typed
    answer = client_for(owner).post(reverse("people:create"), data)
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert not Person.objects.exists()


@pytest.mark.django_db
def test_somebody_elses_log_in_is_not_offered(office: Any, client_for: Log) -> None:
    taken, own, free = (make_user("crew") for _ in range(3))
    make_person(user=taken)
    person = make_person(user=own)
    page = client_for(office).get(reverse("people:edit", args=[person.pk]))
    offered = {user.pk for user in page.context["form"].fields["user"].queryset}
    assert offered == {own.pk, free.pk, office.pk}
