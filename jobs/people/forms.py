"""Adding and changing people."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth import get_user_model

from jobs.people.models import Crew, Person


def day_input() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class PersonForm(forms.ModelForm[Person]):
    """Who works on site; the log-in is chosen among those that no other person has."""

    class Meta:
        model = Person
        fields = ("name", "crew", "is_lead", "phone", "cards", "user")
        labels = {"phone": "Telephone", "user": "Log-in"}
        help_texts = {"cards": "Skills cards and tickets with their end dates."}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["crew"].queryset = Crew.objects.filter(archived_at=None)  # type: ignore[attr-defined]
        free = get_user_model()._default_manager.filter(person=None)  # noqa: SLF001
        if self.instance.user_id:
            free = free | get_user_model()._default_manager.filter(pk=self.instance.user_id)  # noqa: SLF001
        self.fields["user"].queryset = free.order_by("name")  # type: ignore[attr-defined]


class NewPersonForm(PersonForm):
    hourly = forms.DecimalField(
        label="Cost an hour (£)", min_value=0, max_digits=8, decimal_places=2,
        help_text="What an hour costs the firm, with holiday pay and contributions.",
    )  # fmt: skip
    valid_from = forms.DateField(label="From", widget=day_input())


class RateForm(forms.Form):
    hourly = forms.DecimalField(
        label="Cost an hour (£)", min_value=0, max_digits=8, decimal_places=2
    )
    valid_from = forms.DateField(label="From", widget=day_input())


class CrewForm(forms.Form):
    name = forms.CharField(max_length=40)
