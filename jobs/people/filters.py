"""Filters of the people."""

from __future__ import annotations

from typing import Any

import django_filters

from jobs.people.models import Crew, Person


class PersonFilter(django_filters.FilterSet):
    """Those who work here, unless those who left are asked for."""

    crew = django_filters.ModelChoiceFilter(queryset=Crew.objects.all(), empty_label="any")
    state = django_filters.ChoiceFilter(
        label="Who", choices=[("left", "left the firm")], empty_label="work here", method="keep"
    )

    class Meta:
        model = Person
        fields = ("crew",)

    def keep(self, rows: Any, _name: str, _value: str) -> Any:
        return rows

    def filter_queryset(self, queryset: Any) -> Any:
        left = self.form.cleaned_data.get("state") == "left"
        return super().filter_queryset(queryset.filter(archived_at__isnull=not left))
