"""Entering hours."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from jobs.costing.enums import HoursKind
from jobs.kernel.forms import OnceForm
from jobs.people.models import Person
from jobs.work.enums import Stage
from jobs.work.models import Job


class HoursForm(OnceForm):
    job = forms.ModelChoiceField(queryset=Job.objects.none(), empty_label=None)
    person = forms.ModelChoiceField(queryset=Person.objects.none(), empty_label=None)
    day = forms.DateField(widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    kind = forms.ChoiceField(label="What for", choices=HoursKind.choices)
    hours = forms.DecimalField(
        min_value=Decimal("0.25"), max_value=16, max_digits=4, decimal_places=2,
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "step": "0.25", "class": "short"}),
    )  # fmt: skip
    note = forms.CharField(max_length=200, required=False)
    field_order = ("job", "person", "day", "kind", "hours", "note")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["hours"].unit = "h"  # type: ignore[attr-defined]
        won = Job.objects.filter(stage__in=Stage.AFTER_WON)
        self.fields["job"].queryset = won  # type: ignore[attr-defined]
        self.fields["person"].queryset = Person.objects.current()  # type: ignore[attr-defined]


class PeriodForm(forms.Form):
    """Which days count; both included, empty for all."""

    first = forms.DateField(
        label="From",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )
    last = forms.DateField(
        label="To",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        if values.get("first") and values.get("last") and values["last"] < values["first"]:
            self.add_error("last", "This day is before the first.")
        return values
