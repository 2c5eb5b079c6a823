"""Finding people who log in."""

from __future__ import annotations

from typing import Any

from django.contrib.auth.base_user import BaseUserManager
from django.contrib.auth.models import Group


class UserManager(BaseUserManager[Any]):
    """Makes users by e-mail; the address is compared without regard to case."""

    def create_user(self, email: str, password: str | None = None, **fields: Any) -> Any:
        # Whole in small letters, as the log-in looks for it.
        user = self.model(email=email.strip().lower(), **fields)
        user.set_password(password)
        user.save(using=self._db)
        return user

    def create_superuser(self, email: str, password: str | None = None, **fields: Any) -> Any:
        """Make the firm's first person, an owner, who then invites the others.

        `manage.py createsuperuser` calls this. Nobody stands above the roles.
        """
        user = self.create_user(email, password, **fields)
        user.groups.add(Group.objects.using(self._db).get(name="owner"))
        return user

    def get_by_natural_key(self, username: str | None) -> Any:
        return self.get(email__iexact=username)
