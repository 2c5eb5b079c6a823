"""Filters of the requests for payment."""

from __future__ import annotations

from typing import Any

import django_filters
from django.db.models import F

from jobs.billing.enums import RequestKind
from jobs.billing.models import PaymentRequest


class RequestFilter(django_filters.FilterSet):
    kind = django_filters.ChoiceFilter(choices=RequestKind.choices, label="For", empty_label="any")
    state = django_filters.ChoiceFilter(
        choices=[("open", "open"), ("received", "received"), ("withdrawn", "withdrawn")],
        label="State",
        empty_label="any",
        method="by_state",
    )

    class Meta:
        model = PaymentRequest
        fields = ("kind",)

    def by_state(self, rows: Any, _name: str, value: str) -> Any:
        if value == "withdrawn":
            return rows.filter(withdrawn_at__isnull=False)
        standing = rows.filter(withdrawn_at=None)
        if value == "open":
            return standing.filter(received__lt=F("amount"))
        return standing.filter(received__gte=F("amount"))
