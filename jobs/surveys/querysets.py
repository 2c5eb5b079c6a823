"""Which surveys and areas a page shows."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db.models import Count, QuerySet


class SurveyQuerySet(QuerySet[Any]):
    """Visits with the tape, and check-measures."""

    def for_list(self) -> SurveyQuerySet:
        """Return the diary's rows: one query."""
        rows: SurveyQuerySet = self.for_page().annotate(areas_all=Count("areas", distinct=True))
        return rows

    def for_page(self) -> SurveyQuerySet:
        """Return surveys with what heads their page."""
        return self.select_related("job__customer", "job__site", "surveyor")

    def open_visits(self, before: datetime) -> SurveyQuerySet:
        """Return visits not finished that are due before an instant, the earliest first."""
        due = self.filter(finished_at=None, visited_at__lt=before)
        return due.select_related("job__customer", "job__site").order_by("visited_at", "pk")


class AreaQuerySet(QuerySet[Any]):
    """Measured areas."""

    def measured(self) -> AreaQuerySet:
        """Return areas with their pours, colour groups and shapes: two queries."""
        return self.select_related("pour__colour_group").prefetch_related("shapes")
