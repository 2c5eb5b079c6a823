"""What people type of a job."""

from __future__ import annotations

from typing import Any

from django import forms

from jobs.customers.enums import CustomerKind, Source
from jobs.customers.models import Customer
from jobs.kernel.forms import OnceForm, VersionedForm
from jobs.sites.models import Site
from jobs.work.enums import LostReason

NEW = "new"
WORDS = {"rows": 4}


class EnquiryForm(OnceForm):
    """One form for an enquiry on the telephone: who, where, what, and how they came to us.

    `known` are customers who may be the caller: it asks which, once there are any. `customer` is
    one chosen already (from the customer's page); then nothing is asked about the person.
    """

    name = forms.CharField(max_length=120, widget=forms.TextInput({"autocomplete": "off"}))
    phone = forms.CharField(
        label="Telephone", max_length=30, required=False,
        widget=forms.TextInput({"type": "tel", "autocomplete": "off"}),
    )  # fmt: skip
    email = forms.EmailField(
        label="E-mail", required=False, widget=forms.EmailInput({"autocomplete": "off"}),
        help_text="One of the two is enough.",
    )  # fmt: skip
    kind = forms.ChoiceField(
        choices=CustomerKind.choices, initial=CustomerKind.HOUSEHOLD,
        widget=forms.RadioSelect({"class": "abreast"}),
    )  # fmt: skip
    site = forms.ModelChoiceField(
        label="Where", queryset=Site.objects.none(), required=False, empty_label="another address",
    )  # fmt: skip
    address = forms.CharField(
        label="Address of the site", max_length=400, required=False,
        widget=forms.Textarea({"rows": 2}),
    )  # fmt: skip
    postcode = forms.CharField(
        max_length=10, required=False, widget=forms.TextInput({"class": "short"})
    )
    words = forms.CharField(
        label="What they want", max_length=2000, required=False, widget=forms.Textarea(WORDS),
        help_text="In their words: how big, what lies there now, by when.",
    )  # fmt: skip
    title = forms.CharField(
        label="Title of the job", max_length=120, required=False,
        help_text="Left empty it is made from the address.",
    )  # fmt: skip
    source = forms.ChoiceField(
        label="How they came to us", choices=Source.choices, initial=Source.TELEPHONE
    )

    def __init__(
        self, *args: Any, customer: Customer | None = None, known: list[Customer] | None = None,
        **kwargs: Any,
    ) -> None:  # fmt: skip
        super().__init__(*args, **kwargs)
        self.customer = customer
        for name in ("phone", "email", "address"):  # one of two, or needed unless known
            self.fields[name].silent_optional = True  # type: ignore[attr-defined]
        if customer is not None:
            for name in ("name", "phone", "email", "kind"):
                del self.fields[name]
            sites: Any = self.fields["site"]
            sites.queryset = customer.sites.filter(archived_at=None)
            sites.label_from_instance = lambda site: site.one_line or site.name
        else:
            del self.fields["site"]
        if known:
            self.ask_which(known)

    def ask_which(self, known: list[Customer]) -> None:
        """Put the question first: is it one of these, or somebody new?"""
        choices = [(str(c.pk), f"{c.name}, {where(c)}") for c in known]
        question = forms.ChoiceField(
            label="Is it one of these?", choices=[*choices, (NEW, "somebody new")],
            widget=forms.RadioSelect, required=True,
            error_messages={"required": "We know somebody like this. Say whether it is them."},
        )  # fmt: skip
        self.fields = {"who": question, **self.fields}

    def chosen(self) -> int | None:
        """Return the pk of the customer chosen, or None for somebody new."""
        if self.customer is not None:
            return self.customer.pk
        who = self.cleaned_data.get("who", NEW)
        return None if who == NEW else int(who)


def where(customer: Customer) -> str:
    """Return what tells two customers of one name apart."""
    sites = [site for site in customer.sites.all() if site.archived_at is None]
    return sites[0].one_line if sites else customer.phone or customer.email or "no site yet"


class JobEditForm(VersionedForm):
    """A job's words, at the version the page was opened at."""

    title = forms.CharField(max_length=120)
    enquiry = forms.CharField(
        label="What they want", max_length=2000, required=False, widget=forms.Textarea(WORDS)
    )
    source = forms.ChoiceField(label="How they came to us", choices=Source.choices)
    customer_order_number = forms.CharField(
        label="Their order number", max_length=40, required=False
    )


class CopyForm(OnceForm):
    """A job like another one, at a site of the same customer."""

    site = forms.ModelChoiceField(label="Where", queryset=Site.objects.none(), empty_label=None)
    title = forms.CharField(max_length=120)

    def __init__(self, *args: Any, customer: Customer, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        sites: Any = self.fields["site"]
        sites.queryset = customer.sites.filter(archived_at=None)
        sites.label_from_instance = lambda site: site.one_line or site.name


class LoseForm(forms.Form):
    """Why a job went elsewhere."""

    reason = forms.ChoiceField(
        label="Why it was lost", choices=[("", "choose"), *LostReason.choices]
    )
    note = forms.CharField(label="In words", max_length=300, required=False)


class NoteForm(forms.Form):
    """A reason in words."""

    note = forms.CharField(label="Why", max_length=300)


class StepForm(forms.Form):
    """A remark on a step, where there is one."""

    note = forms.CharField(label="Remark", max_length=300, required=False)


class SeveralFiles(forms.ClearableFileInput):
    """A file input that takes several at once."""

    allow_multiple_selected = True


class FilesField(forms.FileField):
    """One file or several, cleaned one by one."""

    widget = SeveralFiles

    def clean(self, data: Any, initial: Any = None) -> list[Any]:
        files = data if isinstance(data, list | tuple) else [data]
        return [super(FilesField, self).clean(file, initial) for file in files or [None]]


class PhotosForm(forms.Form):
    """Photos or papers, and one line that says what they show."""

    file = FilesField(
        label="Photos or PDF files", widget=SeveralFiles({"accept": "image/*,application/pdf"}),
        help_text="JPEG, PNG, WebP or PDF; several at once.",
    )  # fmt: skip
    caption = forms.CharField(label="What they show", max_length=200, required=False)
