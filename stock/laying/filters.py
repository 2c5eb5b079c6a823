"""Filters of the lists of lay days and of differences."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import QuerySet

from jobs.calendar.models import Slot
from jobs.kernel.clock import london_day
from jobs.people.models import Crew
from stock.laying.models import Discrepancy

WHEN = [("today", "today"), ("coming", "coming"), ("past", "past")]


class LayDayFilter(django_filters.FilterSet):
    """By when and by crew."""

    when = django_filters.ChoiceFilter(
        label="When", method="by_when", empty_label="any day", choices=WHEN
    )
    crew = django_filters.ModelChoiceFilter(
        label="Crew", method="by_crew", empty_label="any crew",
        queryset=Crew.objects.filter(archived_at=None),
    )  # fmt: skip

    class Meta:
        model = Slot
        fields: tuple[str, ...] = ()

    def by_when(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        request: Any = self.request
        today = london_day(request.now)
        lookup = {"today": "day", "coming": "day__gt", "past": "day__lt"}[value]
        return rows.filter(**{lookup: today})

    def by_crew(self, rows: QuerySet[Any], name: str, value: Crew) -> QuerySet[Any]:  # noqa: ARG002
        return rows.filter(crew_name=value.name)


class DiscrepancyFilter(django_filters.FilterSet):
    """Open ones until the answered are asked for."""

    answered = django_filters.ChoiceFilter(
        label="Answered", method="by_answered", empty_label="left out",
        choices=[("all", "shown too")],
    )  # fmt: skip

    class Meta:
        model = Discrepancy
        fields: tuple[str, ...] = ()

    def by_answered(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        return rows

    def filter_queryset(self, queryset: Any) -> Any:
        rows: Any = super().filter_queryset(queryset)
        return rows if self.form.cleaned_data.get("answered") else rows.open()
