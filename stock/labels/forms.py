"""Which labels, on what, and from which position on the first sheet."""

from __future__ import annotations

from typing import Any

from django import forms
from django.db.models import BigAutoField

from stock.catalogue.models import Place
from stock.labels.queries import find_lots, own_places
from stock.labels.rules import LAYOUTS, MOST_LABELS, read_codes

LONGEST = 20_000


class SheetForm(forms.Form):
    """What the labels are printed on; shared by both kinds."""

    layout = forms.ChoiceField(
        label="Printed on", choices=[(one.code, one.title) for one in LAYOUTS.values()],
        initial="a4-24",
    )  # fmt: skip
    start = forms.IntegerField(
        label="First position", min_value=1, max_value=24, initial=1, required=False,
        widget=forms.NumberInput({"inputmode": "numeric", "class": "short"}),
        help_text="On a sheet of which some are used: counted along the rows, from the top left.",
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["start"].silent_optional = True  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or self.cleaned_data
        if "layout" in values:
            values["layout"] = LAYOUTS[values["layout"]]
            values["start"] = values.get("start") or 1
            if values["start"] > values["layout"].on_page:
                self.add_error("start", f"This page has positions 1 to {values['layout'].on_page}.")
        return values


class JobLabelsForm(SheetForm):
    """What the labels of a job's lots are printed on; each lot has one for each colour group."""


class LotLabelsForm(SheetForm):
    """Lots by their codes, typed or scanned."""

    codes = forms.CharField(
        label="Lots, one a line", max_length=LONGEST,
        widget=forms.Textarea(
            {"rows": 6, "autocapitalize": "characters", "autocomplete": "off",
             "spellcheck": "false", "autofocus": True}
        ),
        help_text="Type or scan. For more labels of one lot write × 3 behind its code.",
    )  # fmt: skip
    field_order = ("codes", "layout", "start")

    def clean_codes(self) -> str:
        text: str = self.cleaned_data["codes"]
        try:
            wanted = read_codes(text)
        except ValueError as refusal:
            raise forms.ValidationError(str(refusal)) from refusal
        count = sum(number for _, number in wanted)
        if count > MOST_LABELS:
            raise forms.ValidationError(f"These are {count} labels; {MOST_LABELS} is the most.")
        lots = find_lots([code for code, _ in wanted])
        missing = [code for code, _ in wanted if code not in lots]
        if missing:
            more = f" and {len(missing) - 5} more" if len(missing) > 5 else ""
            raise forms.ValidationError(f"No lot has this code: {', '.join(missing[:5])}{more}.")
        self.lots = [lots[code] for code, number in wanted for _ in range(number)]
        return text


class PlacesField(forms.ModelMultipleChoiceField[Place]):
    """Several places; a number that no row can have is no choice, and never asks the database."""

    def clean(self, value: Any) -> Any:
        for one in value or ():
            if not str(one).isdecimal() or int(str(one)[:20]) > BigAutoField.MAX_BIGINT:
                raise forms.ValidationError(f"'{str(one)[:20]}' is no place.")
        return super().clean(value)


class PlaceLabelsForm(SheetForm):
    """Bays and vans."""

    places = PlacesField(queryset=own_places(), widget=forms.CheckboxSelectMultiple, label="Places")
    field_order = ("places", "layout", "start")
