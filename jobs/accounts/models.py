"""People who log in, and invitations to do so."""

from __future__ import annotations

from django.contrib.auth.models import AbstractBaseUser, PermissionsMixin
from django.db import models
from django.db.models.functions import Lower

from jobs.accounts.querysets import UserManager
from jobs.accounts.rules import ROLE_NAMES, VERBS


class User(AbstractBaseUser, PermissionsMixin):
    """Somebody of the firm who logs in with an e-mail address; roles are groups."""

    email = models.EmailField()
    name = models.CharField(max_length=80)
    phone = models.CharField(max_length=30, blank=True)
    is_active = models.BooleanField(default=True)
    joined_at = models.DateTimeField(auto_now_add=True)

    objects = UserManager()

    USERNAME_FIELD = "email"
    EMAIL_FIELD = "email"
    REQUIRED_FIELDS = []

    class Meta:
        # The verbs that roles are made of; see accounts/rules.
        permissions = list(VERBS.items())
        constraints = [
            models.UniqueConstraint(Lower("email"), name="jobs_user_email"),
            # The log-in looks for an address in small letters: one with capitals would not get in.
            models.CheckConstraint(
                condition=models.Q(email=Lower("email")), name="jobs_user_email_small"
            ),
        ]
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name or self.email

    @property
    def role_words(self) -> str:
        """The names of this person's roles, as 'Owner, Office'."""
        held = {group.name for group in self.groups.all()}
        return ", ".join(words for role, words in ROLE_NAMES.items() if role in held)


class Invitation(models.Model):
    """A link by which somebody of the firm sets a password; only its hash is kept."""

    email = models.EmailField()
    name = models.CharField(max_length=80)
    roles = models.JSONField(default=list)
    token_hash = models.CharField(max_length=64, unique=True)
    by = models.ForeignKey(User, on_delete=models.PROTECT, related_name="+")
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    accepted_at = models.DateTimeField(null=True)
    withdrawn_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ["-created_at"]
        constraints = [
            models.UniqueConstraint(
                Lower("email"),
                condition=models.Q(accepted_at=None, withdrawn_at=None),
                name="jobs_invitation_one_open",
            )
        ]

    def __str__(self) -> str:
        return f"{self.name} <{self.email}>"
