"""Filters of the survey diary."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import QuerySet

from jobs.surveys.enums import BaseKind, SurveyKind
from jobs.surveys.models import Survey


class SurveyFilter(django_filters.FilterSet):
    """By kind, by what is open, by base."""

    kind = django_filters.ChoiceFilter(
        label="Kind", choices=SurveyKind.choices, empty_label="any kind"
    )
    state = django_filters.ChoiceFilter(
        label="State", method="by_state", empty_label="open and finished",
        choices=[("open", "open"), ("finished", "finished")],
    )  # fmt: skip
    base_kind = django_filters.ChoiceFilter(
        label="Base", choices=BaseKind.choices, empty_label="any base"
    )

    class Meta:
        model = Survey
        fields = ("kind", "base_kind")

    def by_state(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        return rows.filter(finished_at__isnull=value == "open")
