"""Filters of the requests for payment and of the invoices."""

from __future__ import annotations

from typing import Any

import django_filters
from django import forms
from django.db.models import F

from jobs.billing.enums import Age, InvoiceKind, RequestKind
from jobs.billing.models import Invoice, PaymentRequest
from jobs.kernel.clock import london_day


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


class InvoiceFilter(django_filters.FilterSet):
    kind = django_filters.ChoiceFilter(choices=InvoiceKind.choices, label="Kind", empty_label="any")
    age = django_filters.ChoiceFilter(
        choices=Age.choices, label="Open and", empty_label="any", method="by_age"
    )
    first = django_filters.DateFilter(
        field_name="issued_on", lookup_expr="gte", label="Issued from",
        widget=forms.DateInput(attrs={"type": "date"}),
    )  # fmt: skip
    last = django_filters.DateFilter(
        field_name="issued_on", lookup_expr="lte", label="to",
        widget=forms.DateInput(attrs={"type": "date"}),
    )  # fmt: skip

    class Meta:
        model = Invoice
        fields = ("kind",)

    def by_age(self, rows: Any, _name: str, value: str) -> Any:
        request: Any = self.request  # with `now` of our middleware
        return rows.of_age(value, london_day(request.now))
