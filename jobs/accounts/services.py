"""Roles as groups of verbs, invitations by which people join, and what each may do."""

from __future__ import annotations

import hashlib
import secrets
from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

from django.contrib.auth.models import Group, Permission
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from jobs.accounts.models import Invitation, User
from jobs.accounts.rules import ROLE_NAMES, ROLES, VERBS
from jobs.audit.services import post_event
from jobs.kernel.errors import ServiceError
from jobs.outbox.enums import Audience
from jobs.outbox.services import post_message

HOLDS_FOR = timedelta(days=7)
GONE = ServiceError(
    "This invitation is no longer good. Ask whoever sent it for a new one.", code="gone"
)


def install_roles(**_: Any) -> None:
    """Make each role's group and give it exactly its verbs; safe to repeat after every migrate."""
    permissions = {
        permission.codename: permission
        for permission in Permission.objects.filter(
            content_type__app_label="jobs", content_type__model="user", codename__in=VERBS
        )
    }
    for role, verbs in ROLES.items():
        group, _made = Group.objects.get_or_create(name=role)
        group.permissions.set([permissions[verb] for verb in verbs if verb in permissions])


def token_hash(token: str) -> str:
    """Return what is kept of a link's token."""
    return hashlib.sha256(token.encode()).hexdigest()


@transaction.atomic(durable=True)
def invite_person(
    *, email: str, name: str, roles: Sequence[str], link_base: str, by: User, at: datetime
) -> Invitation:
    """Invite somebody of the firm; the link goes by e-mail and is good for a week.

    Refuses (ServiceError) no role, an unknown one, and an address that has a log-in already. An
    open invitation to the same address is withdrawn first.
    """
    chosen = _known_roles(roles)
    email = email.strip().lower()
    if User.objects.filter(email__iexact=email).exists():
        raise ServiceError("Somebody with this address can log in already.", field="email")
    Invitation.objects.filter(email__iexact=email, accepted_at=None, withdrawn_at=None).update(
        withdrawn_at=at
    )
    token = secrets.token_urlsafe(32)
    invitation = Invitation.objects.create(
        email=email,
        name=name,
        roles=chosen,
        token_hash=token_hash(token),
        by=by,
        created_at=at,
        expires_at=at + HOLDS_FOR,
    )
    post_event(verb="invite", subject=invitation, by=by, at=at, after={"roles": ", ".join(chosen)})
    post_message(
        occasion=f"invitation:{invitation.pk}",
        audience=Audience.STAFF,
        to=email,
        subject=f"{by.name} invites you to the firm's job book",
        body=(
            f"Hello {name},\n\n{by.name} has added you to the firm's job book.\n"
            f"Open this link within a week and choose a password:\n\n{link_base}{token}/\n\n"
            "If you do not know what this is about, do nothing.\n"
        ),
        about=invitation,
        at=at,
    )
    return invitation


def _known_roles(roles: Sequence[str]) -> list[str]:
    chosen = [role for role in ROLE_NAMES if role in roles]
    if not chosen:
        raise ServiceError("Choose at least one role.", field="roles")
    return chosen


def open_invitation(token: str, at: datetime) -> Invitation:
    """Return the invitation that a link's token names, if it is still good."""
    found = Invitation.objects.filter(
        token_hash=token_hash(token), accepted_at=None, withdrawn_at=None, expires_at__gt=at
    ).first()
    if found is None:
        raise GONE
    return found


@transaction.atomic(durable=True)
def accept_invitation(*, token: str, password: str, at: datetime) -> User:
    """Make the log-in that was invited; a second press finds the invitation used."""
    invitation = (
        Invitation.objects.select_for_update(no_key=True)
        .filter(token_hash=token_hash(token))
        .first()
    )
    if (
        invitation is None
        or invitation.accepted_at
        or invitation.withdrawn_at
        or invitation.expires_at <= at
    ):
        raise GONE
    if User.objects.filter(email__iexact=invitation.email).exists():
        raise ServiceError("Somebody with this address can log in already: log in instead.")
    user = User(email=invitation.email.lower(), name=invitation.name)
    try:
        validate_password(password, user)
    except ValidationError as error:
        raise ServiceError(" ".join(error.messages), field="password") from error
    user.set_password(password)
    user.save()
    user.groups.set(Group.objects.filter(name__in=invitation.roles))
    invitation.accepted_at = at
    invitation.save(update_fields=["accepted_at"])
    post_event(verb="join", subject=user, by=user, at=at)
    return user


@transaction.atomic(durable=True)
def withdraw_invitation(*, invitation_id: int, by: User, at: datetime) -> Invitation:
    """Make an invitation's link useless."""
    invitation = Invitation.objects.select_for_update(no_key=True).get(pk=invitation_id)
    if invitation.accepted_at:
        raise ServiceError(f"{invitation.name} has joined already.")
    invitation.withdrawn_at = at
    invitation.save(update_fields=["withdrawn_at"])
    post_event(verb="withdraw_invitation", subject=invitation, by=by, at=at)
    return invitation


@transaction.atomic(durable=True)
def change_member(
    *,
    user_id: int,
    name: str,
    phone: str,
    roles: Sequence[str],
    is_active: bool,
    by: User,
    at: datetime,
) -> User:
    """Change a person's name, telephone, roles, or whether they may log in.

    One active owner must stay, or nobody could give roles any more.
    """
    # Every owner's row is locked: two owners cannot take each other out at once. Who is owner is
    # read again after the lock, since a wait for it ends with the groups as they were before.
    owners = User.objects.filter(groups__name="owner", is_active=True).order_by("pk")
    list(owners.select_for_update(no_key=True, of=("self",)).values_list("pk", flat=True))
    still_owners = set(owners.values_list("pk", flat=True))
    user: User = User.objects.select_for_update(no_key=True).get(pk=user_id)
    chosen = _known_roles(roles)
    stays_owner = "owner" in chosen and is_active
    if user.pk in still_owners and not stays_owner and len(still_owners) == 1:
        raise ServiceError("One owner must stay: make somebody else owner first.", field="roles")
    before = {"name": user.name, "roles": user.role_words, "may log in": user.is_active}
    user.name, user.phone, user.is_active = name, phone, is_active
    user.save(update_fields=["name", "phone", "is_active"])
    user.groups.set(Group.objects.filter(name__in=chosen))
    after = {"name": name, "roles": user.role_words, "may log in": is_active}
    post_event(verb="change_member", subject=user, by=by, at=at, before=before, after=after)
    return user
