"""What is typed of waste notes and single tins."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django import forms

from jobs.kernel.forms import OnceForm
from jobs.work.forms import FilesField, SeveralFiles
from stock.catalogue.models import Item, Place
from stock.ledger.models import Lot
from stock.ledger.rules import YARD
from stock.movements.enums import NoteKind, Part
from stock.movements.forms.flows import (
    day_input,
    yard_places,
)
from stock.movements.models import Tin


class NoteForm(OnceForm):
    """The note with which waste left, and which waste it was."""

    postings = forms.MultipleChoiceField(
        label="Which waste went", widget=forms.CheckboxSelectMultiple
    )
    kind = forms.ChoiceField(label="With a", choices=NoteKind.choices, widget=forms.RadioSelect)
    number = forms.CharField(label="Number of the note", max_length=40)
    carrier = forms.CharField(max_length=120)
    registration = forms.CharField(
        label="The carrier's registration", max_length=40,
        help_text="Look the number up in the public register before the load goes.",
    )  # fmt: skip
    taken_to = forms.CharField(label="Taken to", max_length=200)
    taken_on = forms.DateField(label="On", widget=day_input())
    words = forms.CharField(
        label="What it is", max_length=300, widget=forms.Textarea({"rows": 2}),
        help_text="As the note says, with its waste code. Unmixed resin and hardener may be "
        "hazardous waste: their safety data sheets say so, and local rules bind.",
    )  # fmt: skip
    file = FilesField(
        label="The paper", required=False,
        widget=SeveralFiles({"accept": "image/*,application/pdf"}),
        help_text="A photo or PDF of the signed note.",
    )  # fmt: skip

    def __init__(self, *args: Any, waste: Sequence[tuple[str, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["postings"].choices = waste  # type: ignore[attr-defined]
        self.fields["file"].silent_optional = True  # type: ignore[attr-defined]

    def clean_file(self) -> list[Any]:
        return [file for file in self.cleaned_data["file"] or [] if file]


class VoidForm(forms.Form):
    reason = forms.CharField(
        label="Why is it void?", max_length=200, widget=forms.Textarea({"rows": 2})
    )


def count_field(label: str = "How many tins") -> forms.IntegerField:
    return forms.IntegerField(
        label=label, min_value=1, max_value=10_000,
        widget=forms.NumberInput({"inputmode": "numeric", "class": "short"}),
    )  # fmt: skip


def why_field() -> forms.CharField:
    return forms.CharField(
        label="Why have they no other part?", max_length=150, widget=forms.Textarea({"rows": 2}),
        help_text="The other tin leaked, was cloudy, or did not come.",
    )  # fmt: skip


class KeepTinForm(OnceForm):
    """Kits of which one part cannot be used."""

    place = forms.ModelChoiceField(label="Lying in", queryset=Place.objects.none())
    part = forms.ChoiceField(label="Which part is kept?", choices=Part.choices)
    count = count_field("How many kits")
    why = why_field()

    def __init__(self, *args: Any, lot: Lot, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["place"].queryset = Place.objects.filter(  # type: ignore[attr-defined]
            balances__lot=lot, balances__quantity__gt=0, kind__in=YARD
        )


class AddTinForm(OnceForm):
    """Tins that came alone."""

    item = forms.ModelChoiceField(label="Of which kit", queryset=Item.objects.none())
    part = forms.ChoiceField(choices=Part.choices)
    batch = forms.CharField(max_length=30, required=False)
    expiry = forms.DateField(label="Use by", widget=day_input(), required=False)
    place = forms.ModelChoiceField(label="Lying in", queryset=Place.objects.none())
    count = count_field()
    why = why_field()

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        kits = Item.objects.current().filter(kind="kit")
        self.fields["item"].queryset = kits  # type: ignore[attr-defined]
        self.fields["place"].queryset = yard_places()  # type: ignore[attr-defined]


class PairForm(OnceForm):
    """The tins of the other part that make kits of these."""

    other = forms.ModelChoiceField(label="With", queryset=Tin.objects.none())
    count = count_field("How many kits")
    place = forms.ModelChoiceField(label="Put into", queryset=Place.objects.none())

    def __init__(self, *args: Any, tin: Tin, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        others = Tin.objects.filter(item=tin.item, left__gt=0).exclude(part=tin.part)
        self.fields["other"].queryset = others.select_related("item")  # type: ignore[attr-defined]
        self.fields["place"].queryset = yard_places()  # type: ignore[attr-defined]
