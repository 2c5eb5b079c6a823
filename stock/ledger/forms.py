"""Why a lot is held or released."""

from __future__ import annotations

from django import forms


class ReasonForm(forms.Form):
    """A reason that somebody will read later."""

    reason = forms.CharField(max_length=200, widget=forms.Textarea({"rows": 2}))


class HoldForm(ReasonForm):
    reason = forms.CharField(
        label="Why is it held?", max_length=200, widget=forms.Textarea({"rows": 2}),
        help_text="Damp bags, hardener clouded or set solid, torn wrap, hot in a van.",
    )  # fmt: skip


class ReleaseForm(ReasonForm):
    reason = forms.CharField(
        label="What was found when it was looked at?", max_length=200,
        widget=forms.Textarea({"rows": 2}),
        help_text="See the item's record and its data sheet for what a held lot needs.",
    )  # fmt: skip
