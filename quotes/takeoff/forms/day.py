"""A day's forecast, typed line by line, and what the day is asked with."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator

from quotes.engine.moisture import BASE_DRY_HOURS, HUMIDITY_LIMIT
from quotes.takeoff.forms.asking import Lines, lines_of, number
from quotes.takeoff.rules.day import HourLine, Placing

TIMES = (
    "06:00", "08:00", "10:00", "12:00", "14:00", "16:00", "18:00", "20:00", "22:00",
    "02:00", "06:00", "12:00", "18:00",
)  # fmt: skip


class DayForm(forms.Form):
    """The day, and what laying asks for; the data sheet comes before the first values."""

    day = forms.DateField(
        label="day", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        validators=[
            MinValueValidator(date(2000, 1, 1), "A day from 2000 to 2099."),
            MaxValueValidator(date(2099, 12, 31), "A day from 2000 to 2099."),
        ],
    )  # fmt: skip
    placing = number("from the start of a mix to the closed surface", 1, 240, 15.0, unit="min")
    dry_before = number(
        "dry before the first line", 0, 240, 0.0, unit="h",
        help_text="since the last rain; nought where nobody knows",
    )  # fmt: skip
    base_dry = number("the base must be dry for", 0, 96, BASE_DRY_HOURS, unit="h")
    humidity_limit = number("humidity must stay below", 1, 100, HUMIDITY_LIMIT, unit="%")

    @property
    def asked_for(self) -> Placing:
        """What was asked, times in s."""
        c = self.cleaned_data
        return Placing(
            60 * c["placing"], 3600 * c["dry_before"], 3600 * c["base_dry"], c["humidity_limit"]
        )


class HourForm(forms.Form):
    """One line of a forecast."""

    use_required_attribute = False
    at = forms.TimeField(
        label="time", input_formats=["%H:%M", "%H.%M", "%H%M", "%H"],
        widget=forms.TextInput(attrs={"class": "short", "placeholder": "07:00"}),
        error_messages={"invalid": "Write a time as 07:00."},
    )  # fmt: skip
    air = number("air", -30, 50, unit="°C")
    surface = number("surface", -30, 80, unit="°C", required=False)
    humidity = number("humidity", 1, 100, unit="%")
    rain = number("rain", 0, 200, unit="mm", required=False)

    def __init__(self, *args: Any, usual: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["at"].initial = usual

    def has_changed(self) -> bool:
        """A line that holds nothing but its time is empty."""
        return bool({*self.changed_data} - {"at"})


class HourLines(Lines):
    """At least two lines make a day; every line begins with its usual time."""

    def get_form_kwargs(self, index: int | None) -> dict[str, Any]:
        number = index or 0
        hourly = self.extra > len(TIMES)
        usual = f"{(6 + number) % 24:02d}:00" if hourly else TIMES[number % len(TIMES)]
        return super().get_form_kwargs(index) | {"usual": usual}

    def clean(self) -> None:
        if any(self.errors):
            return
        if len(self.filled()) < 2:
            raise forms.ValidationError(
                "Two lines at least: a forecast has a beginning and an end."
            )


HourFormSet = lines_of(HourForm, len(TIMES), HourLines)


def hour_lines(formset: Any) -> list[HourLine]:
    """Return the lines of a formset that is valid."""
    return [
        HourLine(each["at"], each["air"], each["humidity"], each["rain"] or 0.0, each["surface"])
        for each in formset.filled()
    ]
