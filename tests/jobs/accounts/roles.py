"""Who may see and change the team."""

from __future__ import annotations

from datetime import timedelta

from django.utils import timezone

from jobs.accounts.models import Invitation
from jobs.accounts.services import token_hash
from tests.factories import AT, make_user
from tests.role_rows import ROLES, Row, World, only


def invite() -> World:
    return World({}, {"name": "New", "email": "new@firm.example", "roles": ["crew"]})


def member() -> World:
    data = {"name": "Changed", "phone": "", "roles": ["crew"], "is_active": "on"}
    return World({"pk": make_user("crew").pk}, data)


def invitation() -> World:
    found = Invitation.objects.create(
        email="asked@firm.example", name="Asked", roles=["crew"], token_hash=token_hash("secret"),
        by=make_user("owner"), created_at=AT, expires_at=timezone.now() + timedelta(days=3),
    )  # fmt: skip
    return World({"pk": found.pk})


def link() -> World:
    invitation()
    return World({"token": "secret"}, {"password": "several-good-words", "again": "nothing alike"})


def bad_link() -> World:
    return World({"token": "guessed"}, {"password": "several-good-words"})


TEAM = ("jobs.User", "jobs.Invitation", "jobs.Message")
EVERY = dict.fromkeys(ROLES, 200)
GONE = dict.fromkeys(ROLES, 404)
ROWS = [
    Row("accounts:members", "GET", only("owner")),
    Row("accounts:invite", "GET", only("owner")),
    Row("accounts:invite", "POST", only("owner", status=302), invite, models=TEAM),
    Row("accounts:member", "GET", only("owner"), member),
    Row("accounts:member", "POST", only("owner", status=302), member, models=TEAM),
    Row("accounts:withdraw", "POST", only("owner", status=302), invitation, models=TEAM),
    # The link is for somebody who has no log-in yet: it asks for none.
    Row("accounts:join", "GET", EVERY, link),
    Row("accounts:join", "POST", dict.fromkeys(ROLES, 422), link, models=TEAM),
    Row("accounts:join", "GET", GONE, bad_link, "other"),
]
