"""Adding and changing people and crews."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.contrib.auth import get_user_model
from django.db.models import Q

from jobs.kernel.forms import OnceForm, VersionedForm
from jobs.people.models import Crew, Person


def day_input() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def hourly_field(**more: Any) -> forms.DecimalField:
    """Return the field of what an hour costs."""
    field = forms.DecimalField(
        label="Cost an hour",
        min_value=Decimal(0),
        max_digits=8,
        decimal_places=2,
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "class": "short"}),
        help_text="What an hour costs the firm, with holiday pay and contributions.",
        **more,
    )
    field.unit = "£"  # type: ignore[attr-defined]
    return field


class PersonFields(forms.Form):
    """Who works on site; the log-in is chosen among those that no other person has."""

    name = forms.CharField(max_length=80)
    crew = forms.ModelChoiceField(
        queryset=Crew.objects.none(), required=False, empty_label="no crew"
    )
    is_lead = forms.BooleanField(label="Leads the crew", required=False)
    phone = forms.CharField(label="Telephone", max_length=30, required=False)
    cards = forms.CharField(
        label="Cards and tickets", max_length=200, required=False,
        help_text="Skills cards and tickets with their end dates.",
    )  # fmt: skip
    user: forms.ModelChoiceField[Any] = forms.ModelChoiceField(
        label="Log-in", queryset=None, required=False, empty_label="does not log in"
    )

    def __init__(self, *args: Any, person: Person | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        crews, free = Q(archived_at=None), Q(person=None)
        if person is not None:
            crews, free = crews | Q(pk=person.crew_id), free | Q(pk=person.user_id)
        users: Any = get_user_model()._default_manager  # noqa: SLF001 - documented by Django
        choices: dict[str, Any] = {
            "crew": Crew.objects.filter(crews),
            "user": users.filter(free).order_by("name"),
        }
        for name, rows in choices.items():
            field: Any = self.fields[name]
            field.queryset, field.silent_optional = rows, True


class NewPersonForm(PersonFields):
    """Somebody new, by one who may not see costs."""


class NewPaidPersonForm(NewPersonForm):
    """Somebody new, by one who sees costs and sets the first rate at once."""

    hourly = hourly_field()
    valid_from = forms.DateField(label="From", widget=day_input())


class PersonForm(PersonFields, VersionedForm):
    """A person who is there, at the version the page was opened at."""


class RateForm(forms.Form):
    hourly = hourly_field()
    valid_from = forms.DateField(label="From", widget=day_input())


class CrewForm(OnceForm):
    name = forms.CharField(max_length=40)


class CrewEditForm(VersionedForm):
    name = forms.CharField(max_length=40)
