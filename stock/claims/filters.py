"""Filters of the list of claims."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import QuerySet

from stock.claims.enums import Against, ClaimState
from stock.claims.models import Claim
from stock.suppliers.models import Supplier


class ClaimFilter(django_filters.FilterSet):
    """By how they stand, against whom, and by supplier."""

    state = django_filters.ChoiceFilter(
        label="Stands", method="by_state", choices=ClaimState.choices, empty_label="any way"
    )
    against = django_filters.ChoiceFilter(choices=Against.choices, empty_label="anybody")
    supplier = django_filters.ModelChoiceFilter(
        field_name="goods_in__order__supplier", queryset=Supplier.objects.all(),
        empty_label="any",
    )  # fmt: skip

    class Meta:
        model = Claim
        fields: tuple[str, ...] = ("against",)

    def by_state(self, rows: Any, name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        found: QuerySet[Any] = rows.standing(value)
        return found
