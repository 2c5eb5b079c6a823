"""Subcontractors, verifications, bills and payments as they are typed."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import Q

from jobs.billing.enums import PaidBy
from jobs.billing.forms import RATE_CHOICES, day_input, pounds
from jobs.billing.rules import Excluded
from jobs.kernel.forms import OnceForm, VersionedForm
from jobs.people.models import Person
from jobs.subcontract.enums import VerifiedBy
from jobs.subcontract.models import Subcontractor
from jobs.subcontract.rules import KINDS
from jobs.subcontract.services import BillTyped
from jobs.work.enums import Stage
from jobs.work.models import Job

CIS_CHOICES = [("20", "20 %"), ("30", "30 %, not matched"), ("0", "0 %, paid gross")]


class SubcontractorFields(forms.Form):
    name = forms.CharField(max_length=120)
    address = forms.CharField(max_length=400, required=False)
    utr = forms.CharField(
        label="Unique taxpayer reference", max_length=14, required=False,
        help_text="Ten digits; needed for any rate but 30 %.",
    )  # fmt: skip
    vat_number = forms.CharField(
        label="VAT number", max_length=20, required=False, help_text="Empty: he charges no VAT."
    )
    email = forms.EmailField(label="E-mail", required=False)
    phone = forms.CharField(label="Telephone", max_length=30, required=False)
    person: forms.ModelChoiceField[Any] = forms.ModelChoiceField(
        label="Is one of our people", queryset=Person.objects.none(), required=False,
        empty_label="no", help_text="Then his hours on a job are not counted again by a bill.",
    )  # fmt: skip
    note = forms.CharField(max_length=300, required=False)

    def __init__(self, *args: Any, row: Subcontractor | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        free = Q(subcontractor=None)
        if row is not None:
            free |= Q(pk=row.person_id)
        people: Any = self.fields["person"]
        people.queryset = Person.objects.filter(free).order_by("name")


class SubcontractorForm(SubcontractorFields):
    """Somebody new."""


class SubcontractorEditForm(SubcontractorFields, VersionedForm):
    """One who is there, at the version the page was opened at."""


class VerificationForm(OnceForm):
    percent = forms.ChoiceField(label="Rate", choices=CIS_CHOICES)
    reference = forms.CharField(
        label="Verification number", max_length=20,
        help_text="As HMRC gave it: V and ten digits, for 30 % a stroke and letters.",
    )  # fmt: skip
    verified_on = forms.DateField(label="Verified on", widget=day_input())
    how = forms.ChoiceField(label="How", choices=VerifiedBy.choices)
    file = forms.FileField(
        label="What shows it", required=False, help_text="A PDF or a photo of HMRC's answer."
    )
    note = forms.CharField(max_length=200, required=False)
    field_order = ("percent", "reference", "verified_on", "how", "file", "note")


class BillForm(OnceForm):
    job = forms.ModelChoiceField(queryset=Job.objects.none(), empty_label=None)
    number = forms.CharField(label="Number of his bill", max_length=40)
    billed_on = forms.DateField(label="Date of the bill", widget=day_input())
    words = forms.CharField(label="What for", max_length=200)
    labour = pounds(
        "Labour, without VAT", min_value=0,
        help_text="Travel and subsistence belong to it: the deduction is taken on them.",
    )  # fmt: skip
    materials = pounds("Materials, as they truly cost him without VAT", min_value=0, required=False)
    materials_estimated = forms.BooleanField(
        label="Estimated, since he showed no proof", required=False
    )
    consumables = pounds("Consumables", min_value=0, required=False)
    fuel = pounds("Fuel, but not for travel", min_value=0, required=False)
    plant_hire = pounds("Plant that he hired", min_value=0, required=False)
    prefabrication = pounds("Prefabrication", min_value=0, required=False)
    vat_rate = forms.ChoiceField(label="VAT rate", choices=RATE_CHOICES)
    reverse_charge = forms.BooleanField(
        label="His bill says reverse charge: we account for the VAT", required=False
    )
    vat = pounds("VAT that he charges", min_value=0, required=False)
    vat_reason = forms.CharField(
        label="Why VAT is as it is", max_length=200, required=False,
        help_text="Only where his bill differs from the conditions of the reverse charge.",
    )  # fmt: skip
    hours_apart = forms.BooleanField(
        label="The labour is for other work than his hours that are entered", required=False
    )
    file = forms.FileField(label="His bill", required=False, help_text="A PDF or a photo.")

    def __init__(self, *args: Any, row: Subcontractor, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        jobs: Any = self.fields["job"]
        jobs.queryset = Job.objects.filter(stage__in=Stage.AFTER_WON)
        if row.person_id is None:
            del self.fields["hours_apart"]
        for name in (*KINDS[1:], "vat", "vat_reason"):
            self.fields[name].silent_optional = True  # type: ignore[attr-defined]
        if not row.vat_number:
            # One who is not registered charges no VAT and leaves none to us.
            for name in ("vat_rate", "reverse_charge", "vat", "vat_reason"):
                del self.fields[name]

    @property
    def typed(self) -> BillTyped:
        """The bill as the service takes it."""
        values = self.cleaned_data
        names = ("number", "billed_on", "words", "labour", "materials_estimated")
        return BillTyped(
            excluded=Excluded(**{kind: values[kind] or Decimal(0) for kind in KINDS}),
            vat_rate=Decimal(values.get("vat_rate", "0")), vat=values.get("vat") or Decimal(0),
            reverse_charge=values.get("reverse_charge", False),
            vat_reason=values.get("vat_reason", ""),
            hours_apart=values.get("hours_apart", False),
            **{name: values[name] for name in names},
        )  # fmt: skip


class PayForm(OnceForm):
    paid_on = forms.DateField(label="Paid on", widget=day_input())
    paid_by = forms.ChoiceField(label="Paid by", choices=PaidBy.choices)
    note = forms.CharField(max_length=200, required=False)
    field_order = ("paid_on", "paid_by", "note")
