"""Booking, moving, cancelling; leave and closed days."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from typing import Any

from django import forms

from jobs.calendar.enums import SEVERAL, ClosedFor, Half, Phase, ResourceKind
from jobs.calendar.models import Resource
from jobs.calendar.rules import HalfDay, half_days
from jobs.kernel.errors import ServiceError
from jobs.kernel.forms import OnceForm
from jobs.people.models import Person
from jobs.work.enums import Stage
from jobs.work.models import Job

OVERRIDE_REASONS = (
    ("agreed", "agreed with the customer"),
    ("paid", "the money is promised in writing"),
    ("on the way", "the material is on the way"),
    ("crew agrees", "the crew agreed to work that day"),
    ("other crew", "somebody else goes along"),
    ("looked at it", "looked at it on site, it is sound"),
)


def day_input() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def resource_choices() -> Iterator[tuple[str, list[tuple[int, str]]]]:
    """Yield the resources in groups by kind, crews first."""
    order = list(ResourceKind)
    every = sorted(
        Resource.objects.filter(archived_at=None),
        key=lambda row: (order.index(ResourceKind(row.kind)), row.name),
    )
    for kind, rows in groupby(every, key=lambda row: row.kind):
        yield SEVERAL[ResourceKind(kind)].capitalize(), [(row.pk, row.name) for row in rows]


class WhenForm(forms.Form):
    """From one half-day to another, for one or several resources."""

    first = forms.DateField(label="From", widget=day_input())
    first_half = forms.ChoiceField(label="Beginning", choices=Half.choices, initial=Half.MORNING)
    last = forms.DateField(label="To", widget=day_input(), required=False,
                           help_text="Empty: the same day.")  # fmt: skip
    last_half = forms.ChoiceField(label="Ending", choices=Half.choices, initial=Half.AFTERNOON)
    resources = forms.TypedMultipleChoiceField(
        label="Crew, people, vehicles, mixer",
        coerce=int,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Choose at least one crew, person, vehicle or mixer."},
    )
    note = forms.CharField(max_length=300, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        fields: dict[str, Any] = self.fields
        fields["resources"].choices = list(resource_choices())
        fields["last"].silent_optional = fields["note"].silent_optional = True

    def clean(self) -> dict[str, Any]:
        values = super().clean() or {}
        if values.get("first") and "first_half" in values and "last_half" in values:
            try:
                values["when"] = half_days(
                    values["first"],
                    values.get("last") or values["first"],
                    first_half=values["first_half"],
                    last_half=values["last_half"],
                )
            except ServiceError as error:
                self.add_error(error.field, error.message)
        return values

    def when(self) -> list[HalfDay]:
        """Return the half-days that were chosen."""
        return list(self.cleaned_data["when"])


class BookForm(WhenForm, OnceForm):
    job = forms.ModelChoiceField(queryset=Job.objects.none(), empty_label=None)
    phase = forms.ChoiceField(choices=Phase.choices, initial=Phase.LAY)
    # The hash of the findings that were on the page; other ones are shown before they count.
    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    field_order = ("job", "phase", "first", "first_half", "last", "last_half", "resources", "note")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        bookable = Job.objects.filter(
            stage__in=[Stage.WON, Stage.BOOKED, Stage.ON_SITE, Stage.SNAGGING]
        )
        self.fields["job"].queryset = bookable.select_related("site")  # type: ignore[attr-defined]


class MoveForm(WhenForm):
    seen = forms.CharField(widget=forms.HiddenInput, required=False)
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1)


class CancelForm(forms.Form):
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1)
    reason = forms.CharField(label="Why", max_length=200)


class VersionForm(forms.Form):
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1)


class OverrideForm(forms.Form):
    reason = forms.ChoiceField(label="Why it may go ahead", choices=OVERRIDE_REASONS)


class LeaveForm(forms.Form):
    person = forms.ModelChoiceField(queryset=Person.objects.none(), empty_label=None)
    first = forms.DateField(label="From", widget=day_input())
    last = forms.DateField(label="To", widget=day_input())
    reason = forms.CharField(max_length=60, initial="holiday")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["person"].queryset = Person.objects.current()  # type: ignore[attr-defined]


class ClosedDayForm(forms.Form):
    calendar = forms.ChoiceField(label="What is closed", choices=ClosedFor.choices)
    day = forms.DateField(widget=day_input())
    reason = forms.CharField(max_length=60)


class PlantEditForm(forms.Form):
    name = forms.CharField(max_length=60)
    payload_kg = forms.IntegerField(
        label="Usable payload", min_value=1, max_value=40_000, required=False,
        help_text="Of a vehicle: plated weight less van, crew, mixer, fuel and tools.",
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        payload: Any = self.fields["payload_kg"]
        payload.unit, payload.silent_optional = "kg", True


class PlantForm(PlantEditForm):
    kind = forms.ChoiceField(choices=[("mixer", "mixer"), ("vehicle", "vehicle")])
    field_order = ("kind", "name", "payload_kg")
