"""Log-in by e-mail only, and nobody signs up: people are invited."""

from __future__ import annotations

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from django.http import HttpRequest


class InvitedOnlyAdapter(DefaultAccountAdapter):  # type: ignore[misc]
    """Closes sign-up; the rest is allauth's."""

    def is_open_for_signup(self, request: HttpRequest) -> bool:  # noqa: ARG002
        return False

    def populate_username(self, request: HttpRequest, user: Any) -> None:
        """We keep no username."""
