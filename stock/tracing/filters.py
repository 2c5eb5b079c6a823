"""Filters of the lists to trace from."""

from __future__ import annotations

from typing import Any

import django_filters
from django import forms
from django.db.models import QuerySet

from stock.catalogue.enums import ItemKind
from stock.laying.models import LayBay
from stock.ledger.models import Lot


def day_input() -> forms.DateInput:
    return forms.DateInput({"type": "date"}, format="%Y-%m-%d")


class TraceFilter(django_filters.FilterSet):
    """By kind and by when it came."""

    kind = django_filters.ChoiceFilter(
        label="Kind", field_name="item__kind", choices=ItemKind.choices, empty_label="any kind"
    )
    since = django_filters.DateFilter(
        label="Came from", field_name="received_on", lookup_expr="gte", widget=day_input()
    )
    until = django_filters.DateFilter(
        label="to", field_name="received_on", lookup_expr="lte", widget=day_input()
    )

    class Meta:
        model = Lot
        fields: tuple[str, ...] = ()


class SurfaceFilter(django_filters.FilterSet):
    """By when it was laid."""

    since = django_filters.DateFilter(
        label="Laid from", field_name="lay_day__day", lookup_expr="gte", widget=day_input()
    )
    until = django_filters.DateFilter(
        label="to", field_name="lay_day__day", lookup_expr="lte", widget=day_input()
    )
    measured = django_filters.ChoiceFilter(
        label="Measured", method="by_measured", empty_label="or not",
        choices=[("yes", "measured"), ("no", "not yet")],
    )  # fmt: skip

    class Meta:
        model = LayBay
        fields: tuple[str, ...] = ()

    def by_measured(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        return rows.filter(area_m2__isnull=value == "no")
