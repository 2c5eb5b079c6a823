"""Finding people who log in."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.base_user import BaseUserManager


class UserManager(BaseUserManager[Any]):
    """Makes users by e-mail; the address is compared without regard to case."""

    def create_user(self, email: str, password: str | None = None, **fields: Any) -> Any:
        user = self.model(email=self.normalize_email(email), **fields)
        user.set_password(password)
        user.save(using=self._db)
        return user

    def get_by_natural_key(self, username: str | None) -> Any:
        return self.get(email__iexact=username)
