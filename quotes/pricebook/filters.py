"""Filters of the price book."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import QuerySet

from quotes.pricebook.enums import Measure
from quotes.pricebook.models import WorkItem


class WorkItemFilter(django_filters.FilterSet):
    """By what the survey measures, and whether still in use."""

    measure = django_filters.ChoiceFilter(label="Measured as", choices=Measure.choices)
    use = django_filters.ChoiceFilter(
        label="In use",
        choices=[("now", "in use"), ("archived", "out of use")],
        method="by_use",
    )

    class Meta:
        model = WorkItem
        fields = ("measure",)

    def by_use(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Keep those in use, or those taken out of it."""
        del name
        return rows.filter(archived_at__isnull=value == "now")


class EntryFilter(django_filters.FilterSet):
    """Whether an entry is still in use."""

    use = django_filters.ChoiceFilter(
        label="In use",
        choices=[("now", "in use"), ("archived", "out of use")],
        method="by_use",
    )

    def by_use(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Keep those in use, or those taken out of it."""
        del name
        return rows.filter(archived_at__isnull=value == "now")
