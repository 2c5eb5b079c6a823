"""Inviting, joining, and changing what somebody may do."""

from __future__ import annotations

from typing import Any

from django import forms

from jobs.accounts.rules import ROLE_NAMES


class RolesField(forms.MultipleChoiceField):
    """One or several roles as boxes to tick."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            choices=list(ROLE_NAMES.items()),
            widget=forms.CheckboxSelectMultiple,
            help_text="One person may hold several.",
            error_messages={"required": "Choose at least one role."},
            **kwargs,
        )


class InviteForm(forms.Form):
    name = forms.CharField(max_length=80)
    email = forms.EmailField(label="E-mail")
    roles = RolesField()


class MemberForm(forms.Form):
    name = forms.CharField(max_length=80)
    phone = forms.CharField(label="Telephone", max_length=30, required=False)
    roles = RolesField()
    is_active = forms.BooleanField(label="May log in", required=False)


class JoinForm(forms.Form):
    password = forms.CharField(
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="At least ten characters; several words are easiest to remember.",
    )
    again = forms.CharField(
        label="The same again", widget=forms.PasswordInput(attrs={"autocomplete": "new-password"})
    )

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        if values.get("password") and values.get("again") and values["password"] != values["again"]:
            self.add_error("again", "The two are not the same.")
        return values
