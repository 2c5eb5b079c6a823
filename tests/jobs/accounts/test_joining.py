"""From an invitation by mail to a log-in that works, and every way in which it does not."""

from __future__ import annotations

import email
import email.policy
import re
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.accounts.models import Invitation, User
from jobs.accounts.services import token_hash
from jobs.outbox.models import Message
from jobs.outbox.services import sweep_messages
from tests.factories import make_user

pytestmark = pytest.mark.django_db(transaction=True)
Log = Callable[[Any], Client]
PASSWORD = "three stones and a barrow"
LOGIN = "/accounts/login/"


@pytest.fixture(autouse=True)
def no_tries_yet() -> None:
    """The log-in counts tries in the cache, which outlives a test."""
    cache.clear()


@pytest.fixture
def link(owner: Any, client_for: Log, settings: Any) -> str:
    """Invite somebody through the page and return the link as it stands in the mail."""
    settings.EMAIL_BACKEND = "jobs.outbox.filemail.EmailBackend"
    settings.BASE_URL = "https://book.example"
    data = {"name": "Bea Holt", "email": "Bea@firm.example", "roles": ["crew", "storeman"]}
    answer = client_for(owner).post(reverse("accounts:invite"), data)
    assert answer.status_code == 302
    assert sweep_messages(at=timezone.now()) == 1
    [path] = list(Path(settings.EMAIL_FILE_PATH).glob("*.eml"))
    mail = email.message_from_bytes(path.read_bytes(), policy=email.policy.default)
    assert mail["To"].lower() == "bea@firm.example"
    found = re.search(r"https://book\.example(/team/join/\S+)", mail.get_content())
    assert found is not None
    return found[1]


def join(link: str, password: str = PASSWORD, again: str | None = None) -> Any:
    typed = {"password": password, "again": password if again is None else again}
    return Client().post(link, typed)


def log_in(address: str, password: str = PASSWORD) -> Client:
    client = Client()
    client.post(LOGIN, {"login": address, "password": password})
    return client


def is_in(client: Client) -> bool:
    return "_auth_user_id" in client.session


def test_invited_joined_logged_in(link: str) -> None:
    page = Client().get(link).content.decode()
    assert "Welcome, Bea Holt" in page
    assert "<nav" not in page
    answer = join(link)
    assert answer.status_code == 302
    assert answer["Location"] == "/today/"
    assert is_in(answer.client)
    assert answer.client.get("/today/").status_code == 200
    user = User.objects.get(email__iexact="bea@firm.example")
    assert user.role_words == "Storeman, Crew lead"
    for address in ("bea@firm.example", "BEA@Firm.Example"):
        assert is_in(log_in(address))
    assert not is_in(log_in("bea@firm.example", "three stones and a barro"))


def test_only_the_links_hash_is_kept(link: str) -> None:
    token = link.rstrip("/").rpartition("/")[2]
    assert len(token) >= 43  # 256 bits, six to a letter
    kept = Invitation.objects.get()
    assert kept.token_hash == token_hash(token)
    assert token not in str(Invitation.objects.values().get())


def test_a_link_works_once(link: str) -> None:
    join(link)
    assert join(link, "another good password").status_code == 404
    assert Client().get(link).status_code == 404
    assert User.objects.filter(email__iexact="bea@firm.example").count() == 1
    assert is_in(log_in("bea@firm.example"))


def test_a_link_ends_after_a_week(link: str) -> None:
    Invitation.objects.update(expires_at=timezone.now() + timedelta(minutes=1))
    assert Client().get(link).status_code == 200
    Invitation.objects.update(expires_at=timezone.now() - timedelta(seconds=1))
    answer = Client().get(link)
    assert answer.status_code == 404
    assert join(link).status_code == 404
    assert not User.objects.filter(email__iexact="bea@firm.example").exists()


def test_a_withdrawn_link_is_no_good(link: str, owner: Any, client_for: Log) -> None:
    client = client_for(owner)
    assert "Bea Holt" in client.get(reverse("accounts:members")).content.decode()
    url = reverse("accounts:withdraw", args=[Invitation.objects.get().pk])
    assert client.post(url).status_code == 302
    assert join(link).status_code == 404
    assert "Bea Holt" not in client.get(reverse("accounts:members")).content.decode()


@pytest.mark.parametrize(
    ("password", "again", "field"),
    [
        ("short", None, "password"),
        ("password123", None, "password"),  # of the list of common ones
        ("bea@firm.example", None, "password"),  # too like the address
        ("", None, "password"),
        (PASSWORD, "three stones and a barro", "again"),
    ],
)
def test_a_weak_password_is_told_at_its_field(
    password: str, again: str | None, field: str, link: str
) -> None:
    answer = join(link, password, again)
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert not User.objects.filter(email__iexact="bea@firm.example").exists()
    assert join(link).status_code == 302  # the link is still good


def test_somebody_who_came_by_another_way_is_told_to_log_in(link: str) -> None:
    make_user("crew", email="bea@firm.example")
    answer = join(link)
    assert answer.status_code == 422
    assert "log in instead" in answer.content.decode()


@pytest.mark.parametrize("name", ["account_signup", "account_email", "socialaccount_signup"])
def test_nobody_signs_up(name: str) -> None:
    from django.urls import NoReverseMatch

    with pytest.raises(NoReverseMatch):
        reverse(name)
    assert Client().post("/accounts/signup/", {"email": "x@bad.example"}).status_code == 404
    assert not User.objects.filter(email="x@bad.example").exists()


def test_the_log_in_is_shut_after_too_many_tries(settings: Any) -> None:
    settings.AXES_ENABLED = True
    settings.AXES_FAILURE_LIMIT = 3
    make_user("crew", email="bea@firm.example", password=PASSWORD)
    make_user("crew", email="cal@firm.example", password=PASSWORD)
    typed = {"login": "bea@firm.example", "password": "wrong"}
    client = Client()
    tries = [typed, typed | {"login": "BEA@firm.example"}, typed]  # one person, however written
    statuses = [client.post(LOGIN, one).status_code for one in tries]
    assert statuses == [200, 200, 429]
    shut = client.post(LOGIN, typed | {"password": PASSWORD})
    assert shut.status_code == 429
    assert "shut for a quarter of an hour" in shut.content.decode()
    assert not is_in(client)
    # Nobody else is shut out, and neither is she from another place.
    assert is_in(log_in("cal@firm.example"))
    elsewhere = Client(REMOTE_ADDR="192.0.2.7")
    elsewhere.post(LOGIN, {"login": "bea@firm.example", "password": PASSWORD})
    assert is_in(elsewhere)


def test_tries_before_a_right_one_are_forgotten(settings: Any) -> None:
    settings.AXES_ENABLED = True
    settings.AXES_FAILURE_LIMIT = 3
    make_user("crew", email="bea@firm.example", password=PASSWORD)
    for _ in range(3):
        wrong = Client().post(LOGIN, {"login": "bea@firm.example", "password": "wrong"})
        assert wrong.status_code == 200
        assert is_in(log_in("bea@firm.example"))


def test_who_may_no_longer_log_in_is_out_at_once(owner: Any, client_for: Log) -> None:
    user = make_user("crew", email="bea@firm.example", password=PASSWORD)
    client = log_in("bea@firm.example")
    assert client.get("/today/").status_code == 200
    url = reverse("accounts:member", args=[user.pk])
    data = {"name": user.name, "phone": "", "roles": ["crew"]}  # the tick is off
    assert client_for(owner).post(url, data).status_code == 302
    assert client.get("/today/").status_code == 302
    assert not is_in(log_in("bea@firm.example"))


def test_a_role_taken_away_is_gone_with_the_next_page(owner: Any, client_for: Log) -> None:
    user = make_user("accountant")
    client = client_for(user)
    assert client.get("/costing/").status_code == 200
    url = reverse("accounts:member", args=[user.pk])
    data = {"name": user.name, "phone": "", "roles": ["crew"], "is_active": "on"}
    client_for(owner).post(url, data)
    assert client.get("/costing/").status_code == 403


def test_the_last_owner_is_told_at_the_roles(owner: Any, client_for: Log) -> None:
    url = reverse("accounts:member", args=[owner.pk])
    data = {"name": "Changed", "phone": "", "roles": ["office"], "is_active": "on"}
    answer = client_for(owner).post(url, data)
    assert answer.status_code == 422
    assert "roles" in answer.context["form"].errors
    assert "Changed" in answer.content.decode()
    owner.refresh_from_db()
    assert owner.name != "Changed"


@pytest.mark.parametrize(
    ("typed", "field"),
    [({"email": "nowhere"}, "email"), ({"roles": ["emperor"]}, "roles"), ({"name": ""}, "name"),
     ({"roles": []}, "roles")],
)  # fmt: skip
def test_a_bad_invitation_writes_to_nobody(
    typed: dict[str, Any], field: str, owner: Any, client_for: Log
) -> None:
    data = {"name": "Bea", "email": "bea@firm.example", "roles": ["crew"]} | typed
    answer = client_for(owner).post(reverse("accounts:invite"), data)
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert (Invitation.objects.count(), Message.objects.count()) == (0, 0)


@pytest.mark.parametrize("count", [1, 3])
def test_the_team_costs_a_fixed_number_of_queries(
    count: int, owner: Any, client_for: Log, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        make_user("crew", "storeman")
    client, url = client_for(owner), reverse("accounts:members")
    client.get(url)
    # Session, user, two of permissions; count, rows, their groups, invitations.
    with django_assert_num_queries(8):
        page = client.get(url).content.decode()
    assert page.count("Storeman, Crew lead") == count
