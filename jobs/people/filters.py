"""Filters of the people."""

from __future__ import annotations

import django_filters

from jobs.people.models import Crew, Person


class PersonFilter(django_filters.FilterSet):
    crew = django_filters.ModelChoiceFilter(queryset=Crew.objects.all(), empty_label="any")

    class Meta:
        model = Person
        fields = ("crew",)
