"""Filters of the trail."""

from __future__ import annotations

from typing import Any

import django_filters
from django import forms
from django.contrib.auth import get_user_model

from jobs.audit.models import Event


def people(_request: Any) -> Any:
    """Return who may have done it."""
    return get_user_model()._default_manager.order_by("name")  # noqa: SLF001 - documented by Django


class EventFilter(django_filters.FilterSet):
    by = django_filters.ModelChoiceFilter(
        # django-filter takes a callable too, so that no query runs at import.
        queryset=people,  # type: ignore[arg-type]
        label="Who",
        empty_label="anybody",
    )
    from_day = django_filters.DateFilter(
        field_name="at",
        lookup_expr="date__gte",
        label="From",
        widget=forms.DateInput(attrs={"type": "date"}),
    )
    to_day = django_filters.DateFilter(
        field_name="at",
        lookup_expr="date__lte",
        label="To",
        widget=forms.DateInput(attrs={"type": "date"}),
    )

    class Meta:
        model = Event
        fields = ("by",)
