"""Filters of the customers' list."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import QuerySet

from jobs.customers.enums import CustomerKind
from jobs.customers.models import Customer


class CustomerFilter(django_filters.FilterSet):
    """By kind; those put away are left out until they are asked for."""

    kind = django_filters.ChoiceFilter(
        label="Kind", choices=CustomerKind.choices, empty_label="any kind"
    )
    kept = django_filters.ChoiceFilter(
        label="Kept",
        method="by_kept",
        empty_label="in use",
        choices=[("archived", "put away"), ("all", "both")],
    )

    class Meta:
        model = Customer
        fields = ("kind",)

    def by_kept(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        return rows if value == "all" else rows.exclude(archived_at=None)

    def filter_queryset(self, queryset: QuerySet[Any]) -> QuerySet[Any]:
        rows: QuerySet[Any] = super().filter_queryset(queryset)
        return rows if self.form.cleaned_data.get("kept") else rows.filter(archived_at=None)
