"""Filters of items and places."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import QuerySet

from stock.catalogue.enums import ItemKind, PlaceKind
from stock.catalogue.models import Item, Place


class ItemFilter(django_filters.FilterSet):
    """By kind; items that were put away are left out until asked for."""

    kind = django_filters.ChoiceFilter(
        label="Kind", choices=ItemKind.choices, empty_label="any kind"
    )
    kept = django_filters.ChoiceFilter(
        label="Kept", method="by_kept", empty_label="in use",
        choices=[("archived", "put away"), ("all", "both")],
    )  # fmt: skip

    class Meta:
        model = Item
        fields = ("kind",)

    def by_kept(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        return rows if value == "all" else rows.exclude(archived_at=None)

    def filter_queryset(self, queryset: QuerySet[Any]) -> QuerySet[Any]:
        rows: QuerySet[Any] = super().filter_queryset(queryset)
        return rows if self.form.cleaned_data.get("kept") else rows.filter(archived_at=None)


class PlaceFilter(django_filters.FilterSet):
    kind = django_filters.ChoiceFilter(
        label="Kind", empty_label="any kind",
        choices=[(k.value, k.label) for k in (PlaceKind.BAY, PlaceKind.VAN, PlaceKind.SITE)],
    )  # fmt: skip

    class Meta:
        model = Place
        fields = ("kind",)
