"""Which quotes are added up."""

from __future__ import annotations

from datetime import datetime, time, timedelta
from typing import Any

import django_filters
from django import forms
from django.db.models import QuerySet

from jobs.customers.enums import CustomerKind, Source
from jobs.kernel.clock import at_wall
from jobs.surveys.enums import BaseKind
from quotes.quoting.models import Revision
from quotes.results.enums import Outcome

DAY = timedelta(days=1)


class ResultFilter(django_filters.FilterSet):
    """By the days of first sending (both included), outcome, source and kind of work."""

    first = django_filters.DateFilter(
        label="Sent from", method="from_day",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )  # fmt: skip
    last = django_filters.DateFilter(
        label="to", method="to_day",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )  # fmt: skip
    outcome = django_filters.ChoiceFilter(label="Outcome", choices=Outcome.choices)
    source = django_filters.ChoiceFilter(
        label="Source", choices=Source.choices, field_name="quote__job__source"
    )
    base = django_filters.ChoiceFilter(
        label="Base", choices=BaseKind.choices, field_name="survey__base_kind"
    )
    customer = django_filters.ChoiceFilter(
        label="Customer", choices=CustomerKind.choices, field_name="quote__job__customer__kind"
    )

    class Meta:
        model = Revision
        fields: tuple[str, ...] = ()

    def from_day(self, rows: QuerySet[Any], name: str, value: datetime) -> QuerySet[Any]:
        """Keep what was first sent on or after a day in London."""
        del name
        return rows.filter(first_sent__gte=at_wall(value, time(0)))

    def to_day(self, rows: QuerySet[Any], name: str, value: datetime) -> QuerySet[Any]:
        """Keep what was first sent on or before a day in London."""
        del name
        return rows.filter(first_sent__lt=at_wall(value + DAY, time(0)))
