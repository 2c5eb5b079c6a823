"""Filters of the yard's list."""

from __future__ import annotations

from typing import Any

import django_filters
from django import forms
from django.db.models import QuerySet

from jobs.kernel.clock import london_day
from stock.catalogue.enums import ItemKind
from stock.catalogue.models import Place
from stock.ledger.enums import LotStatus
from stock.ledger.models import KeptBack, Lot
from stock.ledger.rules import COUNTED


class LotFilter(django_filters.FilterSet):
    """By kind, place, state and use-by; lots that are used up are left out until asked for."""

    kind = django_filters.ChoiceFilter(
        label="Kind", field_name="item__kind", choices=ItemKind.choices, empty_label="any kind"
    )
    place = django_filters.ModelChoiceFilter(
        label="Place", method="by_place", empty_label="anywhere",
        queryset=Place.objects.filter(kind__in=COUNTED, archived_at=None),
    )  # fmt: skip
    status = django_filters.ChoiceFilter(
        label="State", choices=LotStatus.choices, empty_label="any state"
    )
    within = django_filters.NumberFilter(
        label="Use by within (days)", method="by_within", min_value=0, max_value=3650,
        widget=forms.NumberInput({"inputmode": "numeric", "class": "short"}),
    )  # fmt: skip
    used = django_filters.ChoiceFilter(
        label="Used up", method="by_used", empty_label="left out", choices=[("all", "shown too")]
    )

    class Meta:
        model = Lot
        fields = ("kind", "place", "status")

    def by_place(self, rows: QuerySet[Any], name: str, value: Place) -> QuerySet[Any]:  # noqa: ARG002
        lying = Lot.objects.filter(balances__place=value, balances__quantity__gt=0)
        return rows.filter(pk__in=lying.values("pk"))

    def by_within(self, rows: Any, name: str, value: Any) -> Any:  # noqa: ARG002
        request: Any = self.request
        return rows.use_by_within(london_day(request.now), int(value))

    def by_used(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        return rows

    def filter_queryset(self, queryset: Any) -> Any:
        rows: Any = super().filter_queryset(queryset)
        return rows if self.form.cleaned_data.get("used") else rows.in_stock()


class KeptBackFilter(django_filters.FilterSet):
    """What is released is left out until asked for."""

    released = django_filters.ChoiceFilter(
        label="Released", method="by_released", empty_label="left out",
        choices=[("all", "shown too")],
    )  # fmt: skip

    class Meta:
        model = KeptBack
        fields: tuple[str, ...] = ()

    def by_released(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        return rows

    def filter_queryset(self, queryset: Any) -> Any:
        rows: Any = super().filter_queryset(queryset)
        return rows if self.form.cleaned_data.get("released") else rows.open()
