"""Forms that are safe to send twice, and forms that notice when somebody else saved first."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, ClassVar
from uuid import uuid4

from django import forms
from django.core import signing
from django.forms import BoundField

from jobs.kernel.templatetags.firm import DASH

SALT = "jobs.kernel.forms.opened"


class OnceForm(forms.Form):
    """A form whose hidden `uid` makes its write safe to repeat: the service claims it as key."""

    uid = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)


@dataclass(frozen=True)
class StaleChange:
    """One field that somebody else changed while the page was open, as words to show."""

    label: str
    before: str
    now: str
    typed: str


class VersionedForm(forms.Form):
    """A form on a row with a `version`: it remembers what the row said when the page was opened.

    `opened` is a signed copy of those values; without it every field that differs is shown.
    """

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1)
    opened = forms.CharField(widget=forms.HiddenInput, required=False)
    not_compared: ClassVar[frozenset[str]] = frozenset({"version", "opened", "uid"})

    def compared(self) -> list[str]:
        """Return the names of the fields that are the row's own."""
        return [name for name in self.fields if name not in self.not_compared]


def opened_values(row: Any, names: list[str]) -> str:
    """Return the signed copy of a row's values that a page carries."""
    return signing.dumps({name: as_text(getattr(row, name)) for name in names}, salt=SALT)


def read_opened(text: str) -> Mapping[str, str]:
    """Return what `opened_values` wrote, or nothing where it was tampered with or is missing."""
    try:
        found = signing.loads(text, salt=SALT)
    except signing.BadSignature:
        return {}
    return found if isinstance(found, dict) else {}


def as_text(value: Any) -> str:
    """Return a row's or a form's value as one comparable text."""
    if value is None:
        return ""
    value = getattr(value, "pk", value)
    return str(value)


def stale_changes(form: Any, row: Any) -> list[StaleChange]:
    """Return what `row` says now that it did not say when the form's page was opened."""
    before = read_opened(form.data.get(form.add_prefix("opened"), ""))
    changes = []
    for name in form.compared():
        if not hasattr(row, name):
            continue
        now, typed = as_text(getattr(row, name)), as_text(form.cleaned_data.get(name))
        was = before.get(name, typed)
        if was != now:
            bound = form[name]
            changes.append(
                StaleChange(
                    str(bound.label), in_words(bound, was), in_words(bound, now),
                    in_words(bound, typed),
                )
            )  # fmt: skip
    return changes


def in_words(bound: BoundField, text: str) -> str:
    """Return a value as the page would show it: a choice's label, yes or no, or the text."""
    field = bound.field
    if isinstance(field, forms.BooleanField):
        return "yes" if text == "True" else "no"
    for value, label in getattr(field, "choices", ()):
        if str(getattr(value, "value", value)) == text:
            return str(label) or DASH
    return text or DASH
