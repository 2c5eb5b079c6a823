"""Filters of the firm's list of variations."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import QuerySet

from jobs.kernel.clock import london_day
from quotes.variations.enums import VariationState
from quotes.variations.models import Variation

# A sent one waits for its answer while it holds; afterwards its day is over.
WAITING = [("open", "open: waits for an answer"), ("over", "sent, its day is over")]


class VariationFilter(django_filters.FilterSet):
    """By state, and by what it does to the days on site."""

    state = django_filters.ChoiceFilter(
        label="State",
        choices=[
            *WAITING,
            *(row for row in VariationState.choices if row[0] != VariationState.SENT),
        ],
        method="by_state",
    )
    days = django_filters.ChoiceFilter(
        label="Days", choices=[("yes", "changes the days"), ("no", "changes none")],
        method="by_days",
    )  # fmt: skip

    class Meta:
        model = Variation
        fields = ("state",)

    def by_state(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Keep those in a state; of the sent ones those that hold, or those that do no more."""
        del name
        if value not in dict(WAITING):
            return rows.filter(state=value)
        today = london_day(self.request.now)  # type: ignore[union-attr]
        sent = rows.filter(state=VariationState.SENT)
        if value == "open":
            return sent.filter(valid_until__gte=today)
        return sent.filter(valid_until__lt=today)

    def by_days(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:
        """Keep those that change the days on site, or those that do not."""
        del name
        return rows.exclude(days_added=0) if value == "yes" else rows.filter(days_added=0)
