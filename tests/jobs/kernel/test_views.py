from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.contrib.messages import get_messages
from django.core.exceptions import ImproperlyConfigured
from django.test import Client

from jobs.customers.models import Customer
from tests.factories import make_customer

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.jobs.kernel.pages")]
LogIn = Callable[[Any], Client]


def said(response: Any) -> list[str]:
    return [str(message) for message in get_messages(response.wsgi_request)]


def test_order_is_log_in_then_404_then_403(client: Client, crew: Any, client_for: LogIn) -> None:
    customer = make_customer()
    assert client.get("/room/999999/").status_code == 302
    assert client_for(crew).get("/room/999999/").status_code == 404
    assert client_for(crew).get(f"/room/{customer.pk}/").status_code == 403


def test_any_of_several_permissions_is_enough(
    office: Any, accountant: Any, client_for: LogIn
) -> None:
    customer = make_customer()
    for user in (office, accountant):
        response = client_for(user).get(f"/room/{customer.pk}/")
        assert response.status_code == 200
        assert response.context["customer"] == customer


def test_view_without_permission_is_an_error(owner: Any, client_for: LogIn) -> None:
    with pytest.raises(ImproperlyConfigured, match="Nameless names no permission"):
        client_for(owner).get("/room/nameless/")


def test_function_view_is_guarded(client: Client, owner: Any, crew: Any, client_for: LogIn) -> None:
    assert client.get("/room/new/").status_code == 302
    assert client_for(crew).get("/room/new/").status_code == 403
    assert client_for(owner).get("/room/new/").content == b"margin"


def test_done_form_redirects_and_says_so(owner: Any, client_for: LogIn) -> None:
    customer = make_customer()
    response = client_for(owner).post(f"/room/{customer.pk}/rename/", {"name": "Anna"})
    assert (response.status_code, response["Location"]) == (302, "/done/")
    assert said(response) == ["Renamed to Anna."]
    assert Customer.objects.get().name == "Anna"


def test_form_that_cannot_be_read_answers_422_and_keeps_what_was_typed(
    owner: Any, client_for: LogIn
) -> None:
    customer = make_customer()
    response = client_for(owner).post(f"/room/{customer.pk}/rename/", {"name": "x" * 21})
    page = response.content.decode()
    assert response.status_code == 422
    assert "x" * 21 in page
    assert 'aria-describedby="id_name_error"' in page
    assert 'id="id_name_error"' in page
    assert '<a href="#id_name">Name</a>' in page
    assert "One thing to put right" in page


@pytest.mark.parametrize(
    ("name", "field", "sentences"),
    [
        ("taken", "name", ["That name is taken."]),
        ("shut", "__all__", ["The books are shut."]),
        ("model", "name", ["Too plain."]),
        ("model", "__all__", ["No such kind."]),
    ],
)
def test_refusal_of_a_service_is_shown_where_it_belongs(
    name: str, field: str, sentences: list[str], owner: Any, client_for: LogIn
) -> None:
    customer = make_customer()
    response = client_for(owner).post(f"/room/{customer.pk}/rename/", {"name": name})
    assert response.status_code == 422
    assert response.context["form"].errors[field] == sentences
    assert f'value="{name}"' in response.content.decode()
    assert Customer.objects.get().name == customer.name


def test_fragment_request_makes_the_page_go(owner: Any, client_for: LogIn) -> None:
    customer = make_customer()
    response = client_for(owner).post(
        f"/room/{customer.pk}/rename/", {"name": "Anna"}, HTTP_HX_REQUEST="true"
    )
    assert (response.status_code, response["HX-Redirect"]) == (200, "/done/")


def test_button_acts_once_and_redirects(owner: Any, client_for: LogIn) -> None:
    customer = make_customer(terms_days=14)
    client = client_for(owner)
    assert client.get(f"/room/{customer.pk}/bump/").status_code == 405
    response = client.post(f"/room/{customer.pk}/bump/")
    assert (response["Location"], said(response)) == ("/done/", ["Moved on."])
    assert Customer.objects.get().terms_days == 15


@pytest.mark.parametrize(
    ("referer", "goes_to"),
    [
        ("http://testserver/room/?page=2", "http://testserver/room/?page=2"),
        ("https://elsewhere.example/", "/done/"),
        ("", "/done/"),
    ],
)
def test_refused_button_goes_back_where_it_was_pressed(
    referer: str, goes_to: str, owner: Any, client_for: LogIn
) -> None:
    customer = make_customer(terms_days=31)
    response = client_for(owner).post(f"/room/{customer.pk}/bump/", HTTP_REFERER=referer)
    assert response["Location"] == goes_to
    assert said(response) == ["More than 30 days is not given."]
    assert Customer.objects.get().terms_days == 31


def test_question_is_asked_before_the_step(owner: Any, client_for: LogIn) -> None:
    customer = make_customer()
    client = client_for(owner)
    page = client.get(f"/room/{customer.pk}/ask/").content.decode()
    assert "Remove the customer?" in page
    assert "Papers are kept." in page
    assert Customer.objects.count() == 1
    client.post(f"/room/{customer.pk}/ask/")
    assert Customer.objects.count() == 0


def test_request_carries_one_present_instant(owner: Any, client_for: LogIn) -> None:
    request: Any = client_for(owner).get("/room/").wsgi_request
    assert str(request.now.tzinfo) == "Europe/London"
