"""Recording money that came in."""

from __future__ import annotations

from typing import Any

from django import forms

from jobs.billing.enums import PaidBy
from jobs.kernel.forms import OnceForm


class ReceiptForm(OnceForm):
    amount = forms.DecimalField(
        max_digits=11, decimal_places=2,
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "class": "short"}),
    )  # fmt: skip
    received_on = forms.DateField(
        label="Received on", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    paid_by = forms.ChoiceField(label="Paid by", choices=PaidBy.choices)
    note = forms.CharField(
        max_length=200, required=False, help_text="As the bank statement has it."
    )
    field_order = ("amount", "received_on", "paid_by", "note")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["amount"].unit = "£"  # type: ignore[attr-defined]


class ReverseForm(OnceForm):
    reason = forms.CharField(label="Why", max_length=200)
