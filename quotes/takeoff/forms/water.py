"""Rain of many durations, what the ground takes, and a fall in any notation."""

from __future__ import annotations

from typing import Any

from django import forms

from quotes.takeoff.forms.asking import Lines, lines_of, number


class StorageForm(forms.Form):
    """What the ground and the stone do with the rain."""

    infiltration = number(
        "infiltration of the ground", 0, 100_000, unit="mm/h",
        help_text="as measured on the site; nought for a closed base",
    )  # fmt: skip
    safety = number("over a factor of safety of", 1, 20, 1.5)
    voids = number("voids of the sub-base", 1, 100, 35.0, unit="%")
    ratio = number(
        "drained area over this area", 0.01, 1000, 1.0,
        help_text="1 where only its own rain falls on it; more where a roof drains onto it",
    )  # fmt: skip


class RainForm(forms.Form):
    """One line of a rainfall table."""

    use_required_attribute = False
    minutes = number("duration", 1, 100_000, unit="min")
    depth = number("rain", 0, 2000, unit="mm")


class RainLines(Lines):
    """At least one storm."""

    def clean(self) -> None:
        if not any(self.errors) and not self.filled():
            raise forms.ValidationError("Type at least one line of the rainfall table.")


RainFormSet = lines_of(RainForm, 8, RainLines)


class FallForm(forms.Form):
    """A fall as somebody wrote it down."""

    fall = forms.CharField(
        label="fall", max_length=40, help_text="1:80, 1 in 80, 1.25 %, 0.716 degrees, 12.5 mm/m",
        widget=forms.TextInput(attrs={"class": "short"}),
    )  # fmt: skip


def rain_table(formset: Any) -> list[tuple[float, float]]:
    """Return (minutes, mm) of a formset that is valid."""
    return [(each["minutes"], each["depth"]) for each in formset.filled()]
