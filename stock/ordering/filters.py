"""Filters of the lists of orders, deliveries, shortages and reminders."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import QuerySet

from stock.ordering.enums import OrderState, ReminderKind, ReminderState
from stock.ordering.models import GoodsIn, Order, Reminder, Shortage
from stock.suppliers.models import Supplier


class OrderFilter(django_filters.FilterSet):
    """By state and supplier."""

    state = django_filters.ChoiceFilter(
        label="State", choices=OrderState.choices, empty_label="any state"
    )
    supplier = django_filters.ModelChoiceFilter(
        label="Supplier", queryset=Supplier.objects.all(), empty_label="any supplier"
    )

    class Meta:
        model = Order
        fields = ("state", "supplier")


class GoodsInFilter(django_filters.FilterSet):
    """With something to claim, or not."""

    amiss = django_filters.ChoiceFilter(
        label="Amiss", method="by_amiss", empty_label="all",
        choices=[("yes", "something amiss"), ("no", "all good")],
    )  # fmt: skip

    class Meta:
        model = GoodsIn
        fields: tuple[str, ...] = ()

    def by_amiss(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        return rows.filter(amiss__gt=0) if value == "yes" else rows.filter(amiss=0)


class ShortageFilter(django_filters.FilterSet):
    """Open ones, unless those that ended are asked for."""

    state = django_filters.ChoiceFilter(
        label="State", method="by_state", empty_label="open",
        choices=[("ended", "ended"), ("all", "both")],
    )  # fmt: skip

    class Meta:
        model = Shortage
        fields: tuple[str, ...] = ()

    def by_state(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        return rows if value == "all" else rows.exclude(closed_at=None)

    def filter_queryset(self, queryset: QuerySet[Any]) -> QuerySet[Any]:
        rows: QuerySet[Any] = super().filter_queryset(queryset)
        return rows if self.form.cleaned_data.get("state") else rows.filter(closed_at=None)


class ReminderFilter(django_filters.FilterSet):
    """By kind and state."""

    kind = django_filters.ChoiceFilter(
        label="What", choices=ReminderKind.choices, empty_label="any kind"
    )
    state = django_filters.ChoiceFilter(
        label="State", choices=ReminderState.choices, empty_label="any state"
    )

    class Meta:
        model = Reminder
        fields = ("kind", "state")
