"""Which day, which period, how long without use."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from django import forms

LONGEST_DAYS = 3660


def day_input() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class DayForm(forms.Form):
    """A day that is not to come, and in which places."""

    on = forms.DateField(label="At the end of", widget=day_input(), required=False)
    where = forms.ChoiceField(
        label="Where", required=False,
        choices=[("", "anywhere"), ("bay", "in bays"), ("van", "in vans"), ("site", "at sites")],
    )  # fmt: skip

    def __init__(self, data: Any, *, today: date) -> None:
        super().__init__(data)
        self.today = today
        self.fields["on"].initial = today

    def clean_on(self) -> date:
        day: date = self.cleaned_data["on"] or self.today
        if day > self.today:
            raise forms.ValidationError(
                "That day is still to come; give one that is past, or today."
            )
        return day


class PeriodForm(forms.Form):
    """The days of a period; the year up to today unless given."""

    first = forms.DateField(label="From", widget=day_input(), required=False)
    last = forms.DateField(label="To", widget=day_input(), required=False)

    def __init__(self, data: Any, *, today: date) -> None:
        super().__init__(data)
        self.today = today

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or self.cleaned_data
        if self.errors:
            return values
        last = values["last"] = values.get("last") or self.today
        first = values["first"] = values.get("first") or last - timedelta(days=364)
        if last > self.today:
            self.add_error("last", "That day is still to come; give one that is past, or today.")
        elif first > last:
            self.add_error("last", "This day is before the first.")
        elif (last - first).days > LONGEST_DAYS:
            self.add_error("first", "Give ten years at most.")
        return values


class IdleForm(forms.Form):
    """How many days without use make stock dead."""

    days = forms.IntegerField(
        label="Not used for", min_value=1, max_value=LONGEST_DAYS, required=False,
        widget=forms.NumberInput({"inputmode": "numeric", "class": "short"}),
    )  # fmt: skip

    def __init__(self, data: Any, *, today: date) -> None:  # noqa: ARG002 - as its neighbours
        super().__init__(data)
        self.fields["days"].unit = "days"  # type: ignore[attr-defined]

    def clean_days(self) -> int:
        return self.cleaned_data["days"] or 90
