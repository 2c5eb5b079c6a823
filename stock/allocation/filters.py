"""Filters of what jobs need."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import F, Q, QuerySet

from stock.allocation.enums import NeededFor
from stock.allocation.models import ProposalLine, Requirement
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


class ProposalLineFilter(django_filters.FilterSet):
    """What changes, and what is taken over; lines that stay are left out until asked for."""

    change = django_filters.ChoiceFilter(
        label="Lines", method="by_change", empty_label="that change",
        choices=[("all", "all"), ("new", "new lots"), ("less", "lots given up"),
                 ("substitute", "substitutes")],
    )  # fmt: skip
    taken = django_filters.ChoiceFilter(
        label="Taken over", method="by_taken", empty_label="either",
        choices=[("yes", "yes"), ("no", "not yet")],
    )  # fmt: skip

    class Meta:
        model = ProposalLine
        fields = ("change",)

    def by_change(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        narrow = {
            "all": Q(), "new": Q(after__gt=F("before")), "less": Q(after__lt=F("before")),
            "substitute": Q(substitute=True),
        }  # fmt: skip
        return rows.filter(narrow[value])

    def by_taken(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        return rows.filter(taken_at__isnull=value == "no")

    def filter_queryset(self, queryset: Any) -> Any:
        rows: Any = super().filter_queryset(queryset)
        return rows if self.form.cleaned_data.get("change") else rows.changing()
