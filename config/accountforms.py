"""The log-in's forms with our own words: plain labels, no grey text inside the boxes."""

from __future__ import annotations

from typing import Any

from allauth.account import forms as account

LABELS = {
    "login": "E-mail",
    "email": "E-mail",
    "password": "Password",
    "oldpassword": "Present password",
    "password1": "New password",
    "password2": "New password, once more",
}


class PlainWords:
    """Gives a form our labels and takes the placeholders and ready-made help links away."""

    fields: dict[str, Any]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            field.label = LABELS.get(name, field.label)
            field.widget.attrs.pop("placeholder", None)
            if name in {"password", "oldpassword"}:
                field.help_text = ""


class LogInForm(PlainWords, account.LoginForm):  # type: ignore[misc]
    """E-mail and password."""


class ChangePasswordForm(PlainWords, account.ChangePasswordForm):  # type: ignore[misc]
    """The present password and a new one, twice."""


class SetPasswordForm(PlainWords, account.SetPasswordForm):  # type: ignore[misc]
    """A first password, twice."""


class ResetPasswordForm(PlainWords, account.ResetPasswordForm):  # type: ignore[misc]
    """The address to which the link goes."""


class ResetPasswordKeyForm(PlainWords, account.ResetPasswordKeyForm):  # type: ignore[misc]
    """A new password by the link, twice."""


class ReauthenticateForm(PlainWords, account.ReauthenticateForm):  # type: ignore[misc]
    """The password again, before a step that matters."""
