"""Recording money, writing payment plans, issuing and crediting invoices."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms

from jobs.billing.enums import PaidBy
from jobs.billing.rules import Stage
from jobs.kernel.forms import OnceForm

MOST_STAGES = 5
STAGES = range(1, MOST_STAGES + 1)


def day_input() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def pounds(label: str, **more: Any) -> forms.DecimalField:
    """Return a field for an amount of money."""
    field = forms.DecimalField(
        label=label, max_digits=11, decimal_places=2,
        widget=forms.NumberInput(attrs={"inputmode": "decimal", "class": "short"}), **more,
    )  # fmt: skip
    field.unit = "£"  # type: ignore[attr-defined]
    return field


class ReceiptForm(OnceForm):
    amount = pounds("Amount")
    cis_deducted = pounds(
        "Kept back under CIS", required=False, min_value=0,
        help_text="What the customer pays to HMRC for us; it settles the request as money does.",
    )  # fmt: skip
    received_on = forms.DateField(label="Received on", widget=day_input())
    paid_by = forms.ChoiceField(label="Paid by", choices=PaidBy.choices)
    note = forms.CharField(
        max_length=200, required=False, help_text="As the bank statement has it."
    )
    field_order = ("amount", "cis_deducted", "received_on", "paid_by", "note")

    def __init__(self, *args: Any, cis: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not cis:
            del self.fields["cis_deducted"]

    def clean_cis_deducted(self) -> Decimal:
        return self.cleaned_data["cis_deducted"] or Decimal(0)


class ReverseForm(OnceForm):
    reason = forms.CharField(label="Why", max_length=200)


class PlanForm(forms.Form):
    """What was agreed by rate, and up to five stages as shares of it."""

    standard = pounds("Agreed before VAT at 20 %", required=False, min_value=0)
    reduced = pounds("At 5 %", required=False, min_value=0)
    zero = pounds("At 0 %", required=False, min_value=0)
    unit = forms.ChoiceField(
        label="Stages are given in",
        choices=[("percent", "per cent"), ("amount", "pounds before VAT")],
    )
    deposit = forms.BooleanField(label="The first stage is the deposit", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for n in STAGES:
            self.fields[f"words_{n}"] = forms.CharField(
                label=f"Stage {n}", max_length=200, required=n == 1
            )
            self.fields[f"share_{n}"] = forms.DecimalField(
                label=f"Share of stage {n}", max_digits=11, decimal_places=2, min_value=0,
                required=n == 1,
                widget=forms.NumberInput(attrs={"inputmode": "decimal", "class": "short"}),
            )  # fmt: skip
        for name in ("reduced", "zero", *(f"{part}_{n}" for n in STAGES[1:]
                     for part in ("words", "share"))):  # fmt: skip
            self.fields[name].silent_optional = True  # type: ignore[attr-defined]

    @property
    def stage_fields(self) -> list[tuple[Any, Any]]:
        """The fields of each stage, side by side."""
        return [(self[f"words_{n}"], self[f"share_{n}"]) for n in STAGES]

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or {}
        for n in STAGES[1:]:
            words, share = values.get(f"words_{n}"), values.get(f"share_{n}")
            if bool(words) != (share is not None) and f"share_{n}" in values:
                self.add_error(f"share_{n}", "Give a stage its words and its share, or neither.")
        return values

    @property
    def nets(self) -> dict[Decimal, Decimal]:
        """What was agreed by rate in per cent."""
        rates = {"standard": Decimal(20), "reduced": Decimal(5), "zero": Decimal(0)}
        return {
            rate: self.cleaned_data[name] for name, rate in rates.items() if self.cleaned_data[name]
        }

    @property
    def stages(self) -> list[Stage]:
        """The stages that were filled in."""
        values, found = self.cleaned_data, []
        for n in STAGES:
            words, share = values[f"words_{n}"], values[f"share_{n}"]
            if words and share is not None:
                first = n == 1 and values["deposit"]
                found.append(Stage(words, deposit=first, **{values["unit"]: share}))
        return found


class EvidenceForm(forms.Form):
    reason = forms.CharField(
        label="Why not the standard rate", max_length=200,
        help_text="For example: conversion of a house, VAT Notice 708.",
    )  # fmt: skip
    file = forms.FileField(
        label="The document that shows it", required=False, help_text="A PDF or a photo."
    )


class AskForm(forms.Form):
    due_on = forms.DateField(label="To be paid by", widget=day_input())


class WithdrawForm(forms.Form):
    reason = forms.CharField(label="Why", max_length=200)


class IssueForm(OnceForm):
    """Issuing; what is not needed for this invoice is left out."""

    supply_on = forms.DateField(
        label="Time of supply", widget=day_input(),
        help_text="The day the work was done, or today where it is still to come.",
    )  # fmt: skip
    materials = pounds(
        "Materials in it, as they truly cost without VAT", min_value=0, required=False,
        help_text="The customer deducts under CIS on the rest. From the cost of the job so far.",
    )  # fmt: skip
    simplified = forms.BooleanField(
        label="Short form, without the customer's particulars", required=False
    )

    def __init__(
        self, *args: Any, before_money: bool, cis: bool, short: bool, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        if not before_money:
            del self.fields["supply_on"]
        if not (before_money and cis):
            del self.fields["materials"]
        if not short:
            del self.fields["simplified"]

    def clean_materials(self) -> Decimal:
        return self.cleaned_data["materials"] or Decimal(0)


class CreditForm(OnceForm):
    """All that stands of an invoice, or an amount before VAT at each of its rates."""

    how = forms.ChoiceField(
        label="Credit", choices=[("whole", "all that stands"), ("part", "a part of it")],
        widget=forms.RadioSelect, initial="whole",
    )  # fmt: skip
    reason = forms.CharField(label="Why", max_length=200)

    def __init__(self, *args: Any, rates: Sequence[Decimal], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.rates = rates
        for rate in rates:
            name = self.name_of(rate)
            self.fields[name] = pounds(
                f"Part before VAT at {rate.normalize():f} %", min_value=0, required=False
            )
            self.fields[name].silent_optional = True  # type: ignore[attr-defined]

    @staticmethod
    def name_of(rate: Decimal) -> str:
        return f"net_{int(rate)}"

    @property
    def nets(self) -> dict[Decimal, Decimal] | None:
        """The parts by rate; None for all that stands."""
        if self.cleaned_data["how"] == "whole":
            return None
        found = {rate: self.cleaned_data[self.name_of(rate)] for rate in self.rates}
        return {rate: net for rate, net in found.items() if net}

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or {}
        given = [values.get(self.name_of(rate)) for rate in self.rates]
        if values.get("how") == "part" and not any(given) and self.rates:
            self.add_error(self.name_of(self.rates[0]), "Give the part that is credited.")
        return values


class SendForm(forms.Form):
    to = forms.EmailField(label="To")


class LateForm(forms.Form):
    base_rate = forms.DecimalField(
        label="Base rate of the Bank of England", max_digits=5, decimal_places=2, min_value=0,
        max_value=100, widget=forms.NumberInput(attrs={"inputmode": "decimal", "class": "short"}),
    )  # fmt: skip
    until = forms.DateField(label="Until", widget=day_input())

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["base_rate"].unit = "%"  # type: ignore[attr-defined]
