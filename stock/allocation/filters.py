"""Filters of what jobs need."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import Q, QuerySet

from stock.allocation.enums import NeededFor
from stock.allocation.models import Requirement
from stock.catalogue.enums import ItemKind


class RequirementFilter(django_filters.FilterSet):
    """By kind and phase, and whether anything is short."""

    kind = django_filters.ChoiceFilter(
        label="Kind", field_name="item__kind", choices=ItemKind.choices, empty_label="any kind"
    )
    phase = django_filters.ChoiceFilter(
        label="For", choices=NeededFor.choices, empty_label="any phase"
    )
    state = django_filters.ChoiceFilter(
        label="State", method="by_state", empty_label="all",
        choices=[("short", "short"), ("there", "there")],
    )  # fmt: skip

    class Meta:
        model = Requirement
        fields = ("kind", "phase")

    def by_state(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        return rows.filter(Q(short__gt=0) if value == "short" else Q(short__lte=0))
