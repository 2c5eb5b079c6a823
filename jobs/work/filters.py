"""Filters of the jobs' list."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import QuerySet

from jobs.customers.enums import Source
from jobs.work.enums import Stage
from jobs.work.models import Job

# Bookings are a higher room's rows; the path is followed by name, never imported.
CREW = "bookings__slots__resource__name"
CREW_BOOKED = {"bookings__cancelled_at": None, "bookings__slots__resource__kind": "crew"}


def crew_choices() -> list[tuple[str, str]]:
    """Return the crews that have ever been booked: one query."""
    names = Job.objects.filter(**CREW_BOOKED).order_by(CREW).values_list(CREW, flat=True).distinct()
    return [(name, name) for name in names]


class JobFilter(django_filters.FilterSet):
    """By stage, by what is open, by crew, by source, by the day it was opened."""

    open = django_filters.ChoiceFilter(
        label="Work", method="by_open", empty_label="open and closed",
        choices=[("yes", "open"), ("no", "closed")],
    )  # fmt: skip
    stage = django_filters.ChoiceFilter(
        label="Stage", choices=Stage.choices, empty_label="any stage"
    )
    crew = django_filters.ChoiceFilter(
        label="Crew", method="by_crew", choices=crew_choices, empty_label="any crew"
    )
    source = django_filters.ChoiceFilter(
        label="Source", choices=Source.choices, empty_label="any source"
    )

    class Meta:
        model = Job
        fields = ("stage", "source")

    def by_open(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        if value == "yes":
            return rows.filter(stage__in=Stage.OPEN)
        return rows.exclude(stage__in=Stage.OPEN)

    def by_crew(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        booked = Job.objects.filter(**CREW_BOOKED, **{CREW: value})
        return rows.filter(pk__in=booked.values("pk"))
