"""Why a lot is held or released, and what of it is kept back."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from jobs.kernel.forms import OnceForm
from jobs.work.models import Job
from stock.ledger.models import Lot
from stock.ledger.rules import plural

MOST_PACKS = Decimal(100_000)


class ReasonForm(forms.Form):
    """A reason that somebody will read later."""

    reason = forms.CharField(max_length=200, widget=forms.Textarea({"rows": 2}))


class HoldForm(ReasonForm):
    reason = forms.CharField(
        label="Why is it held?", max_length=200, widget=forms.Textarea({"rows": 2}),
        help_text="Damp bags, hardener clouded or set solid, torn wrap, hot in a van.",
    )  # fmt: skip


class ReleaseForm(ReasonForm):
    reason = forms.CharField(
        label="What was found when it was looked at?", max_length=200,
        widget=forms.Textarea({"rows": 2}),
        help_text="See the item's record and its data sheet for what a held lot needs.",
    )  # fmt: skip


class KeepBackForm(OnceForm):
    """How many packs, for which job's call-backs, until when."""

    job = forms.CharField(
        label="For call-backs of job", max_length=20, help_text="Its reference: J-2026-0031.",
        widget=forms.TextInput({"class": "short", "autocapitalize": "characters"}),
    )  # fmt: skip
    packs = forms.DecimalField(
        label="How much", min_value=0, max_value=MOST_PACKS, max_digits=10, decimal_places=3,
        widget=forms.NumberInput({"inputmode": "decimal", "class": "short"}),
    )  # fmt: skip
    until = forms.DateField(
        label="Kept until", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="From then on it is asked for; it is not released by itself.",
    )  # fmt: skip
    note = forms.CharField(label="Remark", max_length=200, required=False)

    def __init__(self, *args: Any, lot: Lot, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lot = lot
        self.fields["packs"].unit = plural(lot.item.pack_name)  # type: ignore[attr-defined]
        self.fields["note"].silent_optional = True  # type: ignore[attr-defined]

    def clean_job(self) -> Job:
        reference = self.cleaned_data["job"].strip()
        found: Job | None = Job.objects.filter(reference__iexact=reference).first()
        if found is None:
            raise forms.ValidationError(f"There is no job '{reference}'.")
        return found

    def clean_packs(self) -> Decimal:
        packs: Decimal = self.cleaned_data["packs"]
        units = packs * self.lot.item.pack_quantity
        if units <= 0 or units != units.to_integral_value():
            raise forms.ValidationError("Give a whole quantity, more than 0.")
        self.cleaned_data["quantity"] = int(units)
        return packs


class ExtendKeptForm(forms.Form):
    until = forms.DateField(
        label="Kept until", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )


class ReleaseKeptForm(ReasonForm):
    reason = forms.CharField(
        label="Why is it no longer kept back?", max_length=200,
        widget=forms.Textarea({"rows": 2}),
        help_text="Guarantee over, used for the call-back, needed elsewhere.",
    )  # fmt: skip
