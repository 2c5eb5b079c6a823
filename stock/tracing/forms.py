"""Why all that is left is held."""

from __future__ import annotations

from django import forms


class HoldAllForm(forms.Form):
    reason = forms.CharField(
        label="Why is it held?", max_length=200, widget=forms.Textarea({"rows": 2}),
        help_text="The maker's notice with its date and number, or what was seen.",
    )  # fmt: skip
