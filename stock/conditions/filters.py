"""Filters of the lists of places, readings and excursions."""

from __future__ import annotations

from typing import Any

import django_filters
from django import forms
from django.db.models import QuerySet

from stock.catalogue.enums import PlaceKind
from stock.catalogue.models import Place
from stock.conditions.enums import Source
from stock.conditions.models import Excursion, Reading, Sensor
from stock.ledger.rules import YARD

DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class WatchedFilter(django_filters.FilterSet):
    kind = django_filters.ChoiceFilter(
        label="Kind", empty_label="bays and vans",
        choices=[(PlaceKind.BAY.value, "bays"), (PlaceKind.VAN.value, "vans")],
    )  # fmt: skip

    class Meta:
        model = Place
        fields = ("kind",)


class ReadingFilter(django_filters.FilterSet):
    """By place, source and day."""

    place = django_filters.ModelChoiceFilter(
        label="Place", empty_label="any place", queryset=Place.objects.filter(kind__in=YARD)
    )
    source = django_filters.ChoiceFilter(
        label="From", choices=Source.choices, empty_label="any source"
    )
    since = django_filters.DateFilter(label="From day", method="by_since", widget=DAY)
    until = django_filters.DateFilter(label="To day", method="by_until", widget=DAY)
    out = django_filters.ChoiceFilter(
        label="Left out", method="by_out", empty_label="shown too",
        choices=[("no", "not shown"), ("only", "only these")],
    )  # fmt: skip

    class Meta:
        model = Reading
        fields = ("place", "source")

    def by_since(self, rows: QuerySet[Any], name: str, value: Any) -> QuerySet[Any]:  # noqa: ARG002
        return rows.filter(at__date__gte=value)

    def by_until(self, rows: QuerySet[Any], name: str, value: Any) -> QuerySet[Any]:  # noqa: ARG002
        return rows.filter(at__date__lte=value)

    def by_out(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        return (
            rows.filter(left_out_reason="") if value == "no" else rows.exclude(left_out_reason="")
        )


class ExcursionFilter(django_filters.FilterSet):
    """By place, and answered or not."""

    place = django_filters.ModelChoiceFilter(
        label="Place", empty_label="any place", queryset=Place.objects.filter(kind__in=YARD)
    )
    answered = django_filters.ChoiceFilter(
        label="Answered", method="by_answered", empty_label="or not",
        choices=[("no", "not yet"), ("yes", "answered")],
    )  # fmt: skip

    class Meta:
        model = Excursion
        fields = ("place",)

    def by_answered(self, rows: QuerySet[Any], name: str, value: str) -> QuerySet[Any]:  # noqa: ARG002
        return rows.filter(answered_at__isnull=value == "no")


class SensorFilter(django_filters.FilterSet):
    stopped = django_filters.ChoiceFilter(
        label="Stopped", method="by_stopped", empty_label="shown too",
        choices=[("no", "not shown")],
    )  # fmt: skip

    class Meta:
        model = Sensor
        fields = ()

    def by_stopped(self, rows: Any, name: str, value: str) -> Any:  # noqa: ARG002
        return rows.active()
