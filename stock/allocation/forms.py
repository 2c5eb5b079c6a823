"""How far ahead a proposal looks."""

from __future__ import annotations

from django import forms

from stock.allocation.services import DAYS

PERIODS = [(days, f"{days} days" if days % 7 else f"{days // 7} weeks") for days in DAYS]
TAKE_WHAT = "Take over one of the lines of the page."


class AskForm(forms.Form):
    """The days that are looked ahead."""

    days = forms.TypedChoiceField(
        label="Jobs laid within", coerce=int, initial=42,
        choices=PERIODS,
        error_messages={"invalid_choice": "Look ahead one of the periods of the list."},
    )  # fmt: skip


class TakeForm(forms.Form):
    """Which bundle of jobs to take over; none means all."""

    bundle = forms.IntegerField(
        required=False, min_value=1, max_value=1_000_000,
        error_messages=dict.fromkeys(("invalid", "min_value", "max_value"), TAKE_WHAT),
    )  # fmt: skip
