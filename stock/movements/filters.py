"""Filters of the list of postings."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import django_filters
from django import forms
from django.db.models import QuerySet

from jobs.kernel.clock import london_day
from stock.ledger.enums import PostingKind
from stock.ledger.models import Lot, Posting
from stock.movements.models import Tin

DYING_DAYS = 45


class PostingFilter(django_filters.FilterSet):
    """By kind and by day."""

    kind = django_filters.ChoiceFilter(
        label="What", choices=PostingKind.choices, empty_label="anything"
    )
    day = django_filters.DateFilter(
        label="For the day", widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d")
    )

    class Meta:
        model = Posting
        fields = ("kind", "day")


class WasteFilter(django_filters.FilterSet):
    """With a note or without, and by when it was booked."""

    note = django_filters.ChoiceFilter(
        label="Note", method="by_note", empty_label="with or without",
        choices=[("no", "no note yet"), ("yes", "with a note")],
    )  # fmt: skip
    since = django_filters.DateFilter(
        label="Booked from", field_name="day", lookup_expr="gte",
        widget=forms.DateInput({"type": "date"}, format="%Y-%m-%d"),
    )  # fmt: skip

    class Meta:
        model = Posting
        fields: tuple[str, ...] = ()

    def by_note(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        return rows.filter(waste_line__isnull=value == "no")


class DyingFilter(django_filters.FilterSet):
    """What dies within some weeks; six and a half where nothing is chosen."""

    within = django_filters.ChoiceFilter(
        label="Dies within", method="by_within", empty_label="45 days",
        choices=[("14", "14 days"), ("90", "90 days"), ("180", "180 days"), ("365", "a year")],
    )  # fmt: skip

    class Meta:
        model = Lot
        fields: tuple[str, ...] = ()

    def by_within(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        return rows

    def filter_queryset(self, queryset: Any) -> Any:
        rows: Any = super().filter_queryset(queryset)
        days = int(self.form.cleaned_data.get("within") or DYING_DAYS)
        request: Any = self.request
        return rows.filter(expiry__lte=london_day(request.now) + timedelta(days=days))


class TinFilter(django_filters.FilterSet):
    """Those that are used up are left out until asked for."""

    used = django_filters.ChoiceFilter(
        label="Paired or scrapped", method="by_used", empty_label="left out",
        choices=[("all", "shown too")],
    )  # fmt: skip

    class Meta:
        model = Tin
        fields: tuple[str, ...] = ()

    def by_used(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        return rows

    def filter_queryset(self, queryset: Any) -> Any:
        rows: Any = super().filter_queryset(queryset)
        return rows if self.form.cleaned_data.get("used") else rows.filter(left__gt=0)
