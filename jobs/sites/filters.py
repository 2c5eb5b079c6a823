"""Filters of the sites' list."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import Q, QuerySet

from jobs.sites.models import Site
from jobs.sites.rules import QUESTIONS


class SiteFilter(django_filters.FilterSet):
    """By open questions; sites put away are left out until they are asked for."""

    asked = django_filters.ChoiceFilter(
        label="Questions", method="by_asked", empty_label="any",
        choices=[("open", "some not asked yet"), ("done", "all answered")],
    )  # fmt: skip
    kept = django_filters.ChoiceFilter(
        label="Kept", method="by_kept", empty_label="in use",
        choices=[("archived", "put away"), ("all", "both")],
    )  # fmt: skip

    class Meta:
        model = Site
        fields: tuple[str, ...] = ()

    def by_asked(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        still_open = Q()
        for question in QUESTIONS:
            still_open |= Q(**{question: "unknown"})
        return rows.filter(still_open) if value == "open" else rows.exclude(still_open)

    def by_kept(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        return rows if value == "all" else rows.exclude(archived_at=None)

    def filter_queryset(self, queryset: QuerySet[Any]) -> QuerySet[Any]:
        rows: QuerySet[Any] = super().filter_queryset(queryset)
        return rows if self.form.cleaned_data.get("kept") else rows.filter(archived_at=None)
