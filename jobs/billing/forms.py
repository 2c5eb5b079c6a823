"""Recording money, writing payment plans, issuing and crediting invoices.

Long because: every form of billing stands here, and each field says what is accepted.
"""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from hashlib import sha256
from typing import Any
from uuid import UUID

from django import forms

from jobs.billing.enums import PaidBy, RequestKind, VatCode
from jobs.billing.models import StagePlan
from jobs.billing.queries import agreed, stage_rows
from jobs.billing.rules import HandLine, Stage
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


RATE_FIELDS = {"standard": Decimal(20), "reduced": Decimal(5), "zero": Decimal(0)}


def plan_as_typed(plan: StagePlan | None) -> dict[str, Any]:
    """Return what PlanForm begins with: the plan that stands, or all of it in one stage.

    Stages are in per cent where all have one that the field can hold, else in pounds; of a plan
    with more stages than the form has, only what was agreed.
    """
    typed: dict[str, Any] = {"unit": "percent", "words_1": "All of it", "share_1": "100.00"}
    if plan is None:
        return typed
    nets, rows = agreed(plan), stage_rows(plan)
    typed |= {name: nets[rate].net for name, rate in RATE_FIELDS.items() if rate in nets}
    if not 1 <= len(rows) <= MOST_STAGES:
        return typed
    shares = [row.stage.percent for row in rows]
    in_percent = all(share is not None and share == round(share, 2) for share in shares)
    typed |= {"unit": "percent" if in_percent else "amount"}
    typed |= {"deposit": rows[0].stage.kind == RequestKind.DEPOSIT}
    for n, row in enumerate(rows, 1):
        typed[f"words_{n}"] = row.stage.words
        typed[f"share_{n}"] = f"{row.stage.percent if in_percent else row.net:.2f}"
    return typed


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
        values = self.cleaned_data
        return {rate: values[name] for name, rate in RATE_FIELDS.items() if values[name]}

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

    # Asked for only where plan and conditions say different things of the reverse charge.
    reverse = forms.ChoiceField(label="Who accounts for the VAT", widget=forms.RadioSelect)
    reverse_reason = forms.CharField(
        label="Why it is decided so", max_length=200, help_text="Kept with the invoice."
    )

    def __init__(
        self, *args: Any, before_money: bool, cis: bool, short: bool,
        decide: Sequence[tuple[str, str]] = (), **kwargs: Any,
    ) -> None:  # fmt: skip
        super().__init__(*args, **kwargs)
        if decide:
            self.fields["reverse"].choices = decide  # type: ignore[attr-defined]
        else:
            del self.fields["reverse"], self.fields["reverse_reason"]
        if not before_money:
            del self.fields["supply_on"]
        if not cis:
            del self.fields["materials"]
        if not short:
            del self.fields["simplified"]

    def clean_materials(self) -> Decimal:
        return self.cleaned_data["materials"] or Decimal(0)


MOST_LINES = 8
OPEN_LINES = 3
LINES = range(1, MOST_LINES + 1)
LINE_PARTS = ("words", "quantity", "unit", "price", "rate")
RATE_CHOICES = [
    (str(VatCode.PERCENT[code.value]), f"{VatCode.PERCENT[code.value]} %") for code in VatCode
]


class HandInvoiceForm(OnceForm):
    """An invoice outside the plan: up to eight lines, and what its VAT rests on.

    `seen` is the digest of what was shown before issuing; other values are shown first again.
    """

    supply_on = forms.DateField(
        label="Time of supply", widget=day_input(), help_text="The day the work was done."
    )
    due_on = forms.DateField(label="To be paid by", widget=day_input())
    vat_reason = forms.CharField(
        label="Why not the standard rate", max_length=200, required=False,
        help_text="Needed for 5 % and 0 %, for example: conversion of a house, VAT Notice 708.",
    )  # fmt: skip
    document = forms.ChoiceField(label="The document that shows it", required=False)
    file = forms.FileField(label="Or add it now", required=False, help_text="A PDF or a photo.")
    materials = pounds(
        "Materials in it, as they truly cost without VAT", min_value=0, required=False,
        help_text="The customer deducts under CIS on the rest.",
    )  # fmt: skip
    note = forms.CharField(label="Note on the invoice", max_length=90, required=False)
    simplified = forms.BooleanField(
        label="Short form, without the customer's particulars, up to £250.00", required=False
    )
    seen = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(
        self, *args: Any, cis: bool, documents: Sequence[tuple[str, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["document"].choices = [("", "none"), *documents]  # type: ignore[attr-defined]
        if not cis:
            del self.fields["materials"]
        for n in LINES:
            self._add_line(n)

    def _add_line(self, n: int) -> None:
        needed = n == 1
        number = {"inputmode": "decimal", "class": "short"}
        fields = {
            "words": forms.CharField(label=f"Line {n}, what", max_length=300, required=needed),
            "quantity": forms.DecimalField(
                label=f"Quantity {n}", max_digits=9, decimal_places=3, required=needed,
                min_value=Decimal("0.001"), widget=forms.NumberInput(attrs=number),
            ),
            "unit": forms.CharField(
                label=f"Unit {n}", max_length=20, required=needed,
                widget=forms.TextInput(attrs={"class": "short"}),
            ),
            "price": pounds(f"Price of one {n}, before VAT", required=needed),
            "rate": forms.ChoiceField(label=f"VAT {n}", choices=RATE_CHOICES),
        }  # fmt: skip
        for part, field in fields.items():
            field.silent_optional = True  # type: ignore[attr-defined]
            self.fields[f"{part}_{n}"] = field

    def _fields_of(self, numbers: Sequence[int]) -> list[list[Any]]:
        return [[self[f"{part}_{n}"] for part in LINE_PARTS] for n in numbers]

    @property
    def open_lines(self) -> list[list[Any]]:
        """The fields of the first lines."""
        return self._fields_of(LINES[:OPEN_LINES])

    @property
    def more_lines(self) -> list[list[Any]]:
        """The fields of the lines that are folded away."""
        return self._fields_of(LINES[OPEN_LINES:])

    @property
    def uses_more(self) -> bool:
        """Whether one of those is filled in."""
        return any(self[f"words_{n}"].value() for n in LINES[OPEN_LINES:])

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or {}
        for n in LINES[1:]:
            given = {part: values.get(f"{part}_{n}") for part in LINE_PARTS[:4]}
            some = any(value not in (None, "") for value in given.values())
            for part, value in given.items():
                if some and value in (None, "") and f"{part}_{n}" not in self.errors:
                    self.add_error(f"{part}_{n}", "A line needs words, quantity, unit and price.")
        return values

    @property
    def lines(self) -> tuple[HandLine, ...]:
        """The lines that were filled in."""
        values, found = self.cleaned_data, []
        for n in LINES:
            words, quantity, unit, price, rate = (values[f"{part}_{n}"] for part in LINE_PARTS)
            if words:
                found.append(HandLine(words, quantity, unit, price, Decimal(rate)))
        return tuple(found)

    @property
    def document_uid(self) -> UUID | None:
        """The document that was chosen."""
        chosen = self.cleaned_data["document"]
        return UUID(chosen) if chosen else None

    @property
    def digest(self) -> str:
        """What was typed in one word: the same as `seen` where it was shown just like this."""
        names = ("supply_on", "due_on", "vat_reason", "document", "materials", "note", "simplified")
        said = [(name, self.cleaned_data.get(name)) for name in names]
        return sha256(repr((said, self.lines)).encode()).hexdigest()


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
