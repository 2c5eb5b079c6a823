"""Filters of costing."""

from __future__ import annotations

import django_filters
from django import forms

from jobs.costing.models import Hours
from jobs.people.models import Person
from jobs.work.enums import Stage
from jobs.work.models import Job


class CostingFilter(django_filters.FilterSet):
    stage = django_filters.ChoiceFilter(choices=Stage.choices, empty_label="any")

    class Meta:
        model = Job
        fields = ("stage",)


class HoursFilter(django_filters.FilterSet):
    person = django_filters.ModelChoiceFilter(queryset=Person.objects.all(), empty_label="anybody")
    first = django_filters.DateFilter(
        field_name="day", lookup_expr="gte", label="From",
        widget=forms.DateInput(attrs={"type": "date"}),
    )  # fmt: skip
    last = django_filters.DateFilter(
        field_name="day", lookup_expr="lte", label="To",
        widget=forms.DateInput(attrs={"type": "date"}),
    )  # fmt: skip

    class Meta:
        model = Hours
        fields = ("person",)
