"""Filters of the list of quotes."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import QuerySet

from jobs.kernel.clock import london_day
from quotes.quoting.enums import RevisionState
from quotes.quoting.models import Revision


class QuoteFilter(django_filters.FilterSet):
    """By state, and by whether it still holds."""

    state = django_filters.ChoiceFilter(label="State", choices=RevisionState.choices)
    holds = django_filters.ChoiceFilter(
        label="Holds",
        choices=[("yes", "still holds"), ("no", "its day is over")],
        method="by_validity",
    )

    class Meta:
        model = Revision
        fields = ("state",)

    def by_validity(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Keep those whose day has not come yet, or those whose day is over."""
        del name
        today = london_day(self.request.now)  # type: ignore[union-attr]
        wanted = {"valid_until__gte": today} if value == "yes" else {"valid_until__lt": today}
        return rows.filter(**wanted)
