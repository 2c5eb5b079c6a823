"""Roles as groups of verbs, and who may be what: one owner always stays."""

from __future__ import annotations

import threading
from datetime import datetime
from typing import Any

import pytest
from django.contrib.auth.models import Group
from django.db import IntegrityError, connection, connections, transaction

from jobs.accounts.models import Invitation, User
from jobs.accounts.rules import ROLES, VERBS
from jobs.accounts.services import change_member, install_roles, invite_person
from jobs.audit.models import Event
from jobs.kernel.errors import ServiceError
from tests.factories import AT, make_user

pytestmark = pytest.mark.django_db(transaction=True)


def change(user: User, *roles: str, is_active: bool = True) -> User:
    return change_member(
        user_id=user.pk, name=user.name, phone="", roles=roles, is_active=is_active, by=user, at=AT
    )


@pytest.mark.parametrize("role", list(ROLES))
def test_a_role_holds_exactly_its_verbs(role: str) -> None:
    install_roles()
    Group.objects.get(name=role).permissions.clear()
    install_roles()  # as after every migrate
    user = make_user(role)
    held = {name for name in VERBS if user.has_perm(f"jobs.{name}")}
    assert held == set(ROLES[role])


def test_verbs_of_several_roles_add_up() -> None:
    both = make_user("storeman", "accountant")
    assert both.has_perm("jobs.move_stock")
    assert both.has_perm("jobs.see_costing")
    assert not both.has_perm("jobs.manage_team")
    assert both.role_words == "Storeman, Accountant"


def test_the_last_owner_stays() -> None:
    owner = make_user("owner")
    with pytest.raises(ServiceError, match="One owner must stay") as refused:
        change(owner, "office")
    assert refused.value.field == "roles"
    with pytest.raises(ServiceError, match="One owner must stay"):
        change(owner, "owner", is_active=False)
    other = make_user("owner")
    change(owner, "office")
    with pytest.raises(ServiceError, match="One owner must stay"):
        change(other, "owner", is_active=False)


def test_an_owner_who_cannot_log_in_does_not_count() -> None:
    owner = make_user("owner")
    make_user("owner", is_active=False)
    with pytest.raises(ServiceError, match="One owner must stay"):
        change(owner, "crew")


def test_the_trail_says_what_somebody_was_before(at: datetime) -> None:
    owner, user = make_user("owner"), make_user("crew")
    change_member(
        user_id=user.pk, name=user.name, phone="", roles=["office", "crew"], is_active=True,
        by=owner, at=at,
    )  # fmt: skip
    event = Event.objects.get(verb="change_member")
    assert (event.before["roles"], event.after["roles"]) == ("Crew lead", "Office, Crew lead")
    assert event.by == owner


@pytest.mark.parametrize("roles", [[], ["emperor"]])
def test_nobody_is_without_a_role(roles: list[str]) -> None:
    owner = make_user("owner")
    with pytest.raises(ServiceError) as refused:
        invite_person(
            email="new@firm.example", name="New", roles=roles, link_base="x", by=owner, at=AT
        )
    assert refused.value.field == "roles"


def test_an_address_is_one_person_whatever_its_letters() -> None:
    owner = make_user("owner", email="Ada@firm.example")
    with pytest.raises(ServiceError, match="can log in already"):
        invite_person(
            email="ADA@firm.example", name="A", roles=["crew"], link_base="x", by=owner, at=AT
        )
    with pytest.raises(IntegrityError), transaction.atomic():
        User.objects.create(email="aDA@FIRM.example", name="A")


def test_a_new_invitation_ends_the_one_before() -> None:
    owner = make_user("owner")
    for _ in range(2):
        invite_person(
            email="new@firm.example", name="New", roles=["crew"], link_base="x", by=owner, at=AT
        )
    assert Invitation.objects.filter(withdrawn_at=None).count() == 1
    assert Invitation.objects.count() == 2


def race(guarded: bool) -> list[str]:
    """Two owners take each other's role away at once; returns who got through."""
    first, second = make_user("owner"), make_user("owner")
    barrier, answers = threading.Barrier(2), []

    def press(user: Any) -> None:
        barrier.wait(5)
        try:
            if guarded:
                change(user, "office")
            else:
                # The control differs in the lock alone.
                others = User.objects.filter(groups__name="owner").exclude(pk=user.pk).exists()
                barrier.wait(5)
                if others:
                    user.groups.set(Group.objects.filter(name="office"))
            answers.append("changed")
        except ServiceError:
            answers.append("refused")
        finally:
            connections.close_all()

    threads = [threading.Thread(target=press, args=(user,)) for user in (first, second)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(20)
    return sorted(answers)


@pytest.mark.postgres
def test_two_owners_cannot_take_each_other_out() -> None:
    assert connection.vendor == "postgresql"
    assert race(guarded=False) == ["changed", "changed"]
    assert not User.objects.filter(groups__name="owner").exists()
    assert race(guarded=True) == ["changed", "refused"]
    assert User.objects.filter(groups__name="owner").count() == 1
