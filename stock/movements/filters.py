"""Filters of the list of postings."""

from __future__ import annotations

from typing import Any

import django_filters
from django import forms
from django.db.models import QuerySet

from stock.ledger.enums import PostingKind
from stock.ledger.models import Posting
from stock.movements.models import Tin


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
