"""What people type of a site."""

from __future__ import annotations

from typing import Any

from django import forms

from jobs.kernel.forms import OnceForm, VersionedForm
from jobs.sites.enums import Answer
from jobs.sites.models import Site
from jobs.sites.rules import QUESTIONS


def question(words: str) -> forms.ChoiceField:
    """Return a question with its three answers side by side."""
    return forms.ChoiceField(
        label=words[0].upper() + words[1:], choices=Answer.choices, initial=Answer.UNKNOWN,
        widget=forms.RadioSelect({"class": "abreast"}),
    )  # fmt: skip


class SiteFields(forms.Form):
    """Address first, then what the wagon and the crew meet there."""

    address = forms.CharField(max_length=400, widget=forms.Textarea({"rows": 3}))
    postcode = forms.CharField(
        max_length=10, required=False, widget=forms.TextInput({"class": "short"})
    )
    name = forms.CharField(
        label="What we call it", max_length=120, required=False,
        help_text="Left empty it is the first line of the address.",
    )  # fmt: skip
    notes = forms.CharField(
        max_length=2000, required=False, widget=forms.Textarea({"rows": 3}),
        help_text="Gate codes, dogs, neighbours, where to stand the mixer.",
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        notes = self.fields.pop("notes")
        for name in QUESTIONS:
            words = str(Site._meta.get_field(name).verbose_name)  # type: ignore[union-attr]
            self.fields[name] = question(words)
        self.fields["notes"] = notes


class SiteForm(SiteFields, OnceForm):
    """A new site."""


class SiteEditForm(SiteFields, VersionedForm):
    """A site that is there, at the version the page was opened at."""
