"""Filters of subcontractors, bills and tax months."""

from __future__ import annotations

from typing import Any

import django_filters

from jobs.kernel.clock import london_day
from jobs.kernel.templatetags.firm import day_year
from jobs.subcontract.models import SubcontractBill, Subcontractor
from jobs.subcontract.rules import last_months


class SubcontractorFilter(django_filters.FilterSet):
    rate = django_filters.ChoiceFilter(
        choices=[("none", "not verified"), ("20", "20 %"), ("30", "30 %"), ("0", "paid gross")],
        label="Deduct", empty_label="any", method="by_rate",
    )  # fmt: skip
    kept = django_filters.ChoiceFilter(
        choices=[("archived", "put away"), ("all", "both")],
        label="Kept", empty_label="in use", method="by_kept",
    )  # fmt: skip

    class Meta:
        model = Subcontractor
        fields: tuple[str, ...] = ()

    def by_rate(self, rows: Any, _name: str, value: str) -> Any:
        return rows.filter(rate_now=None if value == "none" else value)

    def by_kept(self, rows: Any, _name: str, value: str) -> Any:
        return rows if value == "all" else rows.exclude(archived_at=None)

    def filter_queryset(self, queryset: Any) -> Any:
        rows = super().filter_queryset(queryset)
        return rows if self.form.cleaned_data.get("kept") else rows.filter(archived_at=None)


class BillFilter(django_filters.FilterSet):
    state = django_filters.ChoiceFilter(
        choices=[("open", "to pay"), ("paid", "paid"), ("back", "taken back")],
        label="State", empty_label="any", method="by_state",
    )  # fmt: skip

    class Meta:
        model = SubcontractBill
        fields: tuple[str, ...] = ()

    def by_state(self, rows: Any, _name: str, value: str) -> Any:
        if value == "back":
            return rows.filter(is_back=True)
        return rows.filter(is_back=False, is_paid=value == "paid")


class MonthFilter(django_filters.FilterSet):
    """The tax month is read by the page; here it is only offered."""

    month = django_filters.ChoiceFilter(label="Tax month to", empty_label=None, method="nothing")

    class Meta:
        model = Subcontractor
        fields: tuple[str, ...] = ()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        request: Any = self.request
        months = last_months(london_day(request.now), 25)
        self.filters["month"].extra["choices"] = [
            (end.isoformat(), day_year(end)) for end in months
        ]

    def nothing(self, rows: Any, _name: str, _value: str) -> Any:
        return rows
