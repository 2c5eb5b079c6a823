"""What people type of a customer and of the people to ring there."""

from __future__ import annotations

from typing import Any

from django import forms

from jobs.customers.enums import CustomerKind
from jobs.kernel.forms import OnceForm, VersionedForm

TEL = {"type": "tel", "autocomplete": "off"}


class CustomerFields(forms.Form):
    """The fields of a customer, in the order in which one asks."""

    name = forms.CharField(max_length=120)
    kind = forms.ChoiceField(choices=CustomerKind.choices, initial=CustomerKind.HOUSEHOLD)
    phone = forms.CharField(
        label="Telephone", max_length=30, required=False, widget=forms.TextInput(TEL)
    )
    email = forms.EmailField(label="E-mail", required=False)
    address = forms.CharField(
        max_length=400,
        required=False,
        widget=forms.Textarea({"rows": 3}),
        help_text="Where papers go. The address of the work is the site's.",
    )
    postcode = forms.CharField(
        max_length=10, required=False, widget=forms.TextInput({"class": "short"})
    )
    terms_days = forms.IntegerField(
        label="Days to pay",
        min_value=0,
        max_value=120,
        initial=14,
        widget=forms.NumberInput({"inputmode": "numeric"}),
    )
    vat_number = forms.CharField(
        label="VAT number",
        max_length=20,
        required=False,
        help_text="GB and nine digits.",
    )
    reports_under_cis = forms.BooleanField(
        label="Reports payments under CIS",
        required=False,
        help_text="A contractor who deducts from what we are paid for labour.",
    )
    end_user_confirmed = forms.BooleanField(
        label="End user or intermediary, confirmed in writing",
        required=False,
        help_text="Takes the job out of the reverse charge; keep the letter.",
    )
    wants_order_number = forms.BooleanField(
        label="Wants their order number on papers", required=False
    )
    texts_agreed = forms.BooleanField(
        label="Said yes to text messages",
        required=False,
        help_text="They go to the mobile number above, where the firm has a text gateway.",
    )
    only_needed = forms.BooleanField(
        label="No messages but what the work needs",
        required=False,
        help_text="Dates, moving the car and keeping off still go.",
    )
    notes = forms.CharField(max_length=2000, required=False, widget=forms.Textarea({"rows": 3}))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["terms_days"].unit = "days"  # type: ignore[attr-defined]


class CustomerForm(CustomerFields, OnceForm):
    """A new customer."""


class CustomerEditForm(CustomerFields, VersionedForm):
    """A customer that is there, at the version the page was opened at."""


class ContactFields(forms.Form):
    name = forms.CharField(max_length=80)
    role = forms.CharField(label="What they do there", max_length=60, required=False)
    phone = forms.CharField(
        label="Telephone", max_length=30, required=False, widget=forms.TextInput(TEL)
    )
    email = forms.EmailField(label="E-mail", required=False)


class ContactForm(ContactFields, OnceForm):
    """Somebody new to ring."""


class ErasureForm(forms.Form):
    """Why a person's data are erased."""

    reason = forms.CharField(
        max_length=300,
        label="Who asked for it, and when",
        widget=forms.TextInput({"autocomplete": "off"}),
    )
