from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

import pytest
from django.http import HttpRequest, HttpResponse
from django.test import Client
from django.urls import include, path, reverse
from django.urls.exceptions import NoReverseMatch
from django.views.defaults import server_error as django_server_error

from config import views
from config.navigation import PLACES, first_url, nav_for
from jobs.accounts.rules import VERBS
from tests.factories import make_user

LogIn = Callable[[Any], Client]


def blank(request: HttpRequest) -> HttpResponse:
    from django.shortcuts import render

    return render(request, "base.html", {"title": "Blank"})


def broken(request: HttpRequest) -> HttpResponse:
    raise RuntimeError("a fault of our own")


ROOMS: dict[str, list[str]] = {}
for place in PLACES:
    space, name = place.url_names[0].split(":")
    ROOMS.setdefault(space, []).append(name)
urlpatterns = [
    *(
        path(f"{space}/", include(([path(f"{name}/", blank, name=name) for name in names], space)))
        for space, names in ROOMS.items()
    ),
    path("broken/", broken),
    path("", include("config.urls")),
]
handler403 = "config.views.permission_denied"
handler404 = "config.views.page_not_found"
handler500 = "config.views.server_error"

everything = pytest.mark.urls("tests.config.test_navigation")


def labels(user: Any) -> list[str]:
    return [item.label for item in nav_for(user, "")]


def test_every_place_asks_for_a_verb_that_there_is() -> None:
    for place in PLACES:
        wanted = (place.permission,) if isinstance(place.permission, str) else place.permission
        assert all(name.removeprefix("jobs.") in VERBS for name in wanted), place.label


def test_no_room_lies_under_two_words() -> None:
    rooms = [room for place in PLACES for room in place.rooms]
    assert sorted(rooms) == sorted(set(rooms))


@everything
@pytest.mark.django_db
def test_words_of_the_head_by_role(
    owner: Any, office: Any, storeman: Any, accountant: Any, crew: Any, stranger: Any
) -> None:
    assert labels(owner) == [place.label for place in PLACES]
    assert labels(office) == [
        "Today", "Jobs", "Customers", "Quotes", "Yard", "Orders", "Calendar", "Costing",
    ]  # fmt: skip
    assert labels(storeman) == ["Today", "Jobs", "Yard", "Orders", "Calendar"]
    assert labels(accountant) == [
        "Today",
        "Jobs",
        "Quotes",
        "Yard",
        "Calendar",
        "Prices",
        "Costing",
    ]
    assert labels(crew) == ["Today", "Jobs", "Yard", "Calendar"]
    assert labels(stranger) == []


@pytest.mark.django_db
@pytest.mark.parametrize("role", ["owner", "office", "storeman", "accountant", "crew"])
def test_no_word_of_the_head_leads_to_a_closed_door(role: str, client_for: LogIn) -> None:
    user = make_user(role)
    client = client_for(user)
    statuses = {item.label: client.get(item.url).status_code for item in nav_for(user, "")}
    assert statuses
    assert set(statuses.values()) == {200}, statuses


@everything
@pytest.mark.django_db
def test_place_where_you_are_is_marked_once(owner: Any, client_for: LogIn) -> None:
    page = client_for(owner).get("/work/list/").content.decode()
    assert page.count('aria-current="page"') == 1
    assert '<a href="/work/list/" aria-current="page" class="here">Jobs</a>' in page
    assert owner.name in page


@everything
@pytest.mark.django_db
def test_people_without_a_log_in_see_the_firm_only(client: Client) -> None:
    page = client.get("/work/list/").content.decode()
    assert "<nav" not in page
    assert "Log out" not in page
    assert "Resinwright" in page


def test_place_whose_page_is_not_there_is_left_out() -> None:
    assert first_url(("nowhere:list", "account_login")) == "/accounts/login/"
    assert first_url(("nowhere:list",)) == ""
    with pytest.raises(NoReverseMatch):
        reverse("nowhere:list")


@pytest.mark.django_db
def test_log_out_needs_a_press(owner: Any, client_for: LogIn) -> None:
    client = client_for(owner)
    assert client.get("/accounts/logout/").status_code == 200
    assert "_auth_user_id" in client.session
    assert client.post("/accounts/logout/").status_code == 302
    assert "_auth_user_id" not in client.session


@pytest.mark.django_db
@pytest.mark.parametrize(
    "address",
    ["login/", "password/reset/", "password/reset/done/", "password/reset/key/done/",
     "password/reset/key/1-nosuch/", "inactive/"],
)  # fmt: skip
def test_ways_in_are_drawn_by_our_own_templates(address: str, client: Client) -> None:
    response = client.get(f"/accounts/{address}")
    assert response.status_code == 200
    assert '<header class="head">' in response.content.decode()


@pytest.mark.django_db
@pytest.mark.parametrize("address", ["signup/", "email/", "3rdparty/"])
def test_there_is_no_sign_up(address: str, client: Client) -> None:
    assert client.get(f"/accounts/{address}").status_code == 404


@pytest.mark.django_db
def test_log_in_and_wrong_password(owner: Any, client: Client) -> None:
    wrong = client.post("/accounts/login/", {"login": owner.email, "password": "wrong-password"})
    assert wrong.status_code == 200
    assert (
        "things to put right" in wrong.content.decode()
        or "thing to put right" in wrong.content.decode()
    )
    right = client.post("/accounts/login/", {"login": owner.email, "password": "a-long-password"})
    assert right.status_code == 302
    assert client.session["_auth_user_id"] == str(owner.pk)


@pytest.mark.django_db
def test_health_says_what_answers(client: Client) -> None:
    response = client.get("/healthz")
    assert response.status_code == 200
    assert response.json() == {"ok": True, "database": True, "cache": True}


@pytest.mark.django_db
def test_health_is_503_when_the_cache_does_not_answer(client: Client, settings: Any) -> None:
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.dummy.DummyCache"}}
    response = client.get("/healthz")
    assert response.status_code == 503
    assert response.json() == {"ok": False, "database": True, "cache": False}


def test_health_is_503_when_the_database_does_not_answer(client: Client) -> None:
    # No django_db mark: pytest-django shuts the database, which is an error of its own kind; so the
    # real part is asked through a connection that is closed to it.
    from django.db import DatabaseError, connection

    class Shut:
        def __enter__(self) -> Any:
            raise DatabaseError("shut")

        def __exit__(self, *_: object) -> None: ...

    real = connection.cursor
    connection.cursor = Shut  # type: ignore[assignment, method-assign]
    try:
        assert views.database_answers() is False
    finally:
        connection.cursor = real  # type: ignore[method-assign]


@pytest.mark.django_db
def test_missing_page_says_so(client: Client) -> None:
    response = client.get("/nowhere/")
    assert response.status_code == 404
    assert "There is no such page" in response.content.decode()


@everything
@pytest.mark.django_db
def test_own_fault_is_told_without_help_of_the_database() -> None:
    client = Client(raise_request_exception=False)
    response = client.get("/broken/")
    assert response.status_code == 500
    assert "Something broke" in response.content.decode()
    assert views.server_error is not django_server_error


@pytest.mark.django_db
def test_form_without_its_token_is_told_how_to_go_on() -> None:
    client = Client(enforce_csrf_checks=True)
    response = client.post("/accounts/login/", {"login": "x", "password": "y"})
    assert response.status_code == 403
    assert "The page was open too long" in response.content.decode()


@pytest.mark.django_db
def test_first_page_leads_in(client: Client) -> None:
    response = client.get("/")
    assert response.status_code == 302


@pytest.mark.django_db
def test_forgotten_password_sends_a_link_to_those_we_know_only(
    owner: Any, client: Client, mailoutbox: Any
) -> None:
    answers = [
        client.post("/accounts/password/reset/", {"email": address})["Location"]
        for address in ("nobody@home.example", owner.email)
    ]
    assert answers == ["/accounts/password/reset/done/"] * 2  # the answers tell nobody apart
    assert [mail.to for mail in mailoutbox] == [[owner.email]]
    assert mailoutbox[0].subject == "A new password for testserver"
    link = next(line for line in mailoutbox[0].body.splitlines() if line.startswith("http"))
    page = client.get(link.removeprefix("http://testserver"), follow=True)
    assert "New password, once more" in page.content.decode()


@pytest.mark.django_db
def test_log_in_uses_our_words(client: Client) -> None:
    page = client.get("/accounts/login/").content.decode()
    assert re.findall(r"<label[^>]*>([^<]+)", page) == ["E-mail", "Password"]
    assert "placeholder" not in page
