"""What is typed of readings, files, sensors, excursions and holds."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from jobs.kernel.forms import OnceForm
from jobs.work.forms import FilesField, SeveralFiles
from stock.catalogue.models import Place
from stock.conditions.enums import HoldCause, Outcome
from stock.conditions.rules.kinetic import USUAL_ENERGY
from stock.ledger.models import Lot
from stock.ledger.rules import YARD, plural

NUMERIC = {"inputmode": "decimal", "class": "short", "autocomplete": "off"}
MOST_PACKS = Decimal(100_000)


class ReadingForm(OnceForm):
    """One reading, read off a thermometer."""

    celsius = forms.DecimalField(
        label="Temperature", max_digits=6, decimal_places=2, localize=False,
        widget=forms.NumberInput(NUMERIC),
    )  # fmt: skip
    humidity = forms.DecimalField(
        label="Relative humidity", max_digits=5, decimal_places=1, required=False,
        widget=forms.NumberInput(NUMERIC),
    )  # fmt: skip
    measured_at = forms.DateTimeField(
        label="Read at",
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["celsius"].unit = "°C"  # type: ignore[attr-defined]
        self.fields["humidity"].unit = "%"  # type: ignore[attr-defined]


class LeaveOutForm(forms.Form):
    reason = forms.CharField(
        label="Why is it left out?", max_length=200, widget=forms.Textarea({"rows": 2}),
        help_text="It stays in the list with this reason, and counts no more.",
    )  # fmt: skip


class GapForm(forms.Form):
    gap_hours = forms.IntegerField(
        label="A gap is longer than", min_value=1, max_value=72,
        widget=forms.NumberInput({"inputmode": "numeric", "class": "short"}),
        help_text="Between readings no farther apart than this the temperature is taken to run "
        "straight; over a longer gap nothing is known.",
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["gap_hours"].unit = "hours"  # type: ignore[attr-defined]


class FileForm(OnceForm):
    """A logger's file, and its unit where the file does not say."""

    file = forms.FileField(
        label="The logger's file", max_length=200, allow_empty_file=True,
        widget=forms.FileInput({"accept": ".csv,.txt,text/csv,text/plain"}),
        help_text="Text with a head line that names a time and a temperature; columns in any "
        "order. Days come before months; times without an offset are London's.",
    )  # fmt: skip
    unit = forms.ChoiceField(
        label="Temperatures are in", required=False,
        choices=[("", "what the file says"), ("C", "°C"), ("F", "°F")],
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["unit"].silent_optional = True  # type: ignore[attr-defined]


class SensorForm(OnceForm):
    name = forms.CharField(max_length=60, help_text="What is written on the device.")
    place = forms.ModelChoiceField(
        queryset=Place.objects.filter(kind__in=YARD, archived_at=None),
        help_text="Its readings are this place's. Move the device, and it wants a new entry.",
    )


class AnswerForm(forms.Form):
    outcome = forms.ChoiceField(
        label="What happens with what it held?", choices=Outcome.choices, widget=forms.RadioSelect
    )
    finding = forms.CharField(
        label="What was found, and who says so?", max_length=200,
        widget=forms.Textarea({"rows": 3}),
        help_text="The maker's word for this batch, or what its data sheet says of such hours.",
    )  # fmt: skip


class EnergyForm(forms.Form):
    """The activation energy of a mean kinetic temperature."""

    energy = forms.DecimalField(
        label="Activation energy", min_value=Decimal(20), max_value=Decimal(200), max_digits=7,
        decimal_places=3, initial=Decimal(str(USUAL_ENERGY)), widget=forms.NumberInput(NUMERIC),
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["energy"].unit = "kJ/mol"  # type: ignore[attr-defined]


class HoldForm(OnceForm):
    """Why, how much of it, and photos."""

    cause = forms.ChoiceField(
        label="What is the matter?", choices=HoldCause.choices, widget=forms.RadioSelect
    )
    words = forms.CharField(
        label="What was seen", max_length=140, required=False, widget=forms.Textarea({"rows": 2})
    )
    place = forms.ModelChoiceField(
        label="Only what lies in", queryset=Place.objects.none(), required=False,
        empty_label="all of the lot, wherever it lies",
    )  # fmt: skip
    packs = forms.DecimalField(
        label="How much of that", min_value=0, max_value=MOST_PACKS, max_digits=10,
        decimal_places=3, required=False, widget=forms.NumberInput(NUMERIC),
        help_text="A part becomes a lot of its own and needs a new label.",
    )  # fmt: skip
    file = FilesField(
        label="Photos", required=False,
        widget=SeveralFiles({"accept": "image/*,application/pdf"}),
        help_text="Of the pack and of its label; several at once.",
    )  # fmt: skip

    def __init__(self, *args: Any, lot: Lot, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lot = lot
        self.fields["place"].queryset = Place.objects.filter(  # type: ignore[attr-defined]
            balances__lot=lot, balances__quantity__gt=0, kind__in=YARD
        )
        self.fields["packs"].unit = plural(lot.item.pack_name)  # type: ignore[attr-defined]
        for name in ("place", "file"):
            self.fields[name].silent_optional = True  # type: ignore[attr-defined]

    def clean_file(self) -> list[Any]:
        return [file for file in self.cleaned_data["file"] or [] if file]

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or self.cleaned_data
        packs, place = values.get("packs"), values.get("place")
        values["quantity"] = None
        if self.errors:
            return values
        if (packs is None) != (place is None):
            self.add_error(
                "packs" if packs is None else "place",
                "To hold a part, say where it lies and how much of it.",
            )
        elif packs is not None:
            units = packs * self.lot.item.pack_quantity
            if units <= 0 or units != units.to_integral_value():
                self.add_error("packs", "This is no whole quantity of its unit.")
            else:
                values["quantity"] = int(units)
        return values


class PhotosForm(forms.Form):
    file = FilesField(
        label="Photos", widget=SeveralFiles({"accept": "image/*,application/pdf"}),
        help_text="JPEG, PNG, WebP or PDF; several at once.",
    )  # fmt: skip
    caption = forms.CharField(label="What they show", max_length=200, required=False)
