"""Log-in by e-mail only, and nobody signs up: people are invited."""

from __future__ import annotations

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest


def tried_address(request: HttpRequest, credentials: Any = None) -> str:
    """Return whose log-in was tried, in small letters: tries are counted by person and place.

    The log-in's form hands the address over as 'email'; without it everybody behind one line
    would be shut out together.
    """
    tried = (credentials or {}).get("email") or request.POST.get("login") or ""
    return str(tried).strip().lower()[:254]


class InvitedOnlyAdapter(DefaultAccountAdapter):  # type: ignore[misc]
    """Closes sign-up; the rest is allauth's."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:  # noqa: ARG002
        return False

    def populate_username(self, request: HttpRequest, user: Any) -> None:
        """We keep no username."""
