"""Roles as groups of verb permissions, kept in step with accounts/rules."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.models import Group, Permission

from jobs.accounts.rules import ROLES, VERBS


def install_roles(**_: Any) -> None:
    """Make each role's group and give it exactly its verbs; safe to repeat after every migrate."""
    permissions = {
        permission.codename: permission
        for permission in Permission.objects.filter(
            content_type__app_label="jobs", content_type__model="user", codename__in=VERBS
        )
    }
    if len(permissions) < len(VERBS):
        return  # the first of several post_migrate calls: permissions are not there yet
    for role, verbs in ROLES.items():
        group, _made = Group.objects.get_or_create(name=role)
        group.permissions.set([permissions[verb] for verb in verbs])
