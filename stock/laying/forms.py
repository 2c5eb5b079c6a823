"""What is typed on the lay day: readings, bays, what comes back in the evening, answers."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.forms import BoundField

from jobs.kernel.forms import OnceForm
from jobs.work.forms import FilesField, SeveralFiles
from stock.catalogue.enums import ItemKind
from stock.catalogue.models import Blend, Item, Place
from stock.laying.queries import LotBalance
from stock.laying.rules import MOST_M2, EveningRow, unexplained
from stock.ledger.rules import pack_words, plural
from stock.movements.forms import base_units, packs_field, yard_places

DECIMAL = {"inputmode": "decimal", "class": "short", "autocomplete": "off"}
# The unit in which the rest of an opened pack is weighed or measured, by base unit.
REST_IN = {"g": ("kg", 1000), "ml": ("l", 1000), "mm": ("m", 1000)}


def reading(label: str, unit: str, low: int, high: int, help_text: str = "") -> Any:
    """Return the field of a reading with one decimal."""
    field = forms.DecimalField(
        label=label, min_value=low, max_value=high, max_digits=4, decimal_places=1,
        help_text=help_text, widget=forms.TextInput(DECIMAL),
    )  # fmt: skip
    field.unit = unit  # type: ignore[attr-defined]
    return field


class BaseForm(forms.Form):
    """The readings before mix 1; `seen` is asked for only when they speak against laying."""

    air_c = reading("Air", "°C", -30, 60)
    surface_c = reading("Surface of the base", "°C", -30, 80)
    humidity_percent = reading("Humidity", "%", 1, 100)
    dry_until = forms.TimeField(
        label="Dry until, by the forecast", required=False,
        widget=forms.TimeInput({"type": "time"}, format="%H:%M"),
        help_text="Rain or dew, whichever comes first; from it follows the last mix.",
    )  # fmt: skip
    note = forms.CharField(
        label="Base, moisture and depth dips", required=False, max_length=300,
        widget=forms.Textarea({"rows": 2}),
    )  # fmt: skip
    file = FilesField(
        label="Photos of the base", required=False,
        widget=SeveralFiles({"accept": "image/*"}), help_text="Several at once.",
    )  # fmt: skip
    seen = forms.BooleanField(
        label="I have seen this and decide to lay all the same", required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("dry_until", "note", "file", "seen"):
            self.fields[name].silent_optional = True  # type: ignore[attr-defined]

    @property
    def read(self) -> str:
        """The three readings as one text: what a tick under them was for."""
        values = getattr(self, "cleaned_data", {})
        return "/".join(str(values.get(n)) for n in ("air_c", "surface_c", "humidity_percent"))


class BayForm(forms.Form):
    """A bay: its letter, and in which measured area it lies; its blend where several fit."""

    name = forms.CharField(label="Bay", max_length=40, widget=forms.TextInput({"class": "short"}))
    area_name = forms.ChoiceField(label="In which area", required=False)

    def __init__(
        self, *args: Any, areas: Sequence[str], blends: Sequence[Blend], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        area: Any = self.fields["area_name"]
        area.choices = [(name, name) for name in areas] + [("", "another")]
        area.silent_optional = True
        if not areas:
            del self.fields["area_name"]
        elif self.initial.get("area_name") is None:
            self.initial["area_name"] = areas[0]
        if len(blends) > 1:
            self.fields["blend"] = forms.TypedChoiceField(
                label="Blend", coerce=int, empty_value=None, required=False,
                choices=[("", "the one that fits the area"), *((b.pk, b.name) for b in blends)],
            )  # fmt: skip
            self.fields["blend"].silent_optional = True  # type: ignore[attr-defined]


class FullForm(forms.Form):
    """A bay's measured m²."""

    area_m2 = forms.DecimalField(
        label="Measured", min_value=Decimal("0.01"), max_value=MOST_M2, max_digits=7,
        decimal_places=2, widget=forms.TextInput(DECIMAL),
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["area_m2"].unit = "m²"  # type: ignore[attr-defined]


class TapForm(forms.Form):
    """One tap: which bay, and the key that makes it safe to repeat."""

    bay = forms.IntegerField(widget=forms.HiddenInput)
    uid = forms.UUIDField(widget=forms.HiddenInput)


class AnswerForm(forms.Form):
    """What became of a difference; `settle` puts the book right."""

    answer = forms.CharField(
        label="What became of it", max_length=300, widget=forms.Textarea({"rows": 3})
    )
    settle = forms.BooleanField(label="Put the book right", required=False)

    def __init__(self, *args: Any, settle: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if settle:
            self.fields["settle"].label = settle
        else:
            del self.fields["settle"]


# -- the evening -------------------------------------------------------------------------------


def balance_words(row: LotBalance) -> str:
    """Write what became of a lot: 'drawn 17 kits − laid 15 kits = 2 kits left'."""
    item = row.lot.item
    gone = ((row.logged, "laid"), (row.back, "back"), (row.waste, "waste"), (row.counted, "off"))
    parts = [f"drawn {packs(item, row.drawn)}"]
    parts += [f"{word} {packs(item, quantity)}" for quantity, word in gone if quantity]
    return f"{' − '.join(parts)} = {packs(item, row.left)} left"


def packs(item: Item, quantity: int) -> str:
    """Write a quantity in an item's packs."""
    return pack_words(quantity, item.pack_quantity, item.pack_name)


class EveningForm(OnceForm):
    """For each lot at the site: what comes back, what is waste, what stays for tomorrow.

    What nobody explains is asked once more; then `sure` makes it a difference for the storeman.
    """

    place = forms.ModelChoiceField(
        label="Back into", queryset=Place.objects.none(), empty_label=None
    )
    sure = forms.BooleanField(
        label="That is all there is: ask the storeman about the rest", required=False
    )

    def __init__(
        self, *args: Any, balances: Sequence[LotBalance], last_day: bool, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.balances = [row for row in balances if row.left > 0]
        self.last_day = last_day
        self.asks = False
        self.fields["place"].queryset = yard_places()  # type: ignore[attr-defined]
        for row in self.balances:
            self.add_lot(row)

    def add_lot(self, row: LotBalance) -> None:
        """Add a lot's fields."""
        item, pk = row.lot.item, row.lot.pk
        is_kit = item.kind == ItemKind.KIT
        unopened = f"Unopened {plural(item.pack_name)} back"
        self.add_field(f"back_{pk}", packs_field(item, required=False, label=unopened))
        if not is_kit and item.base_unit in REST_IN:
            rest = forms.DecimalField(
                label=f"Rest of an opened {item.pack_name}, comes back held", required=False,
                min_value=0, max_digits=9, decimal_places=3, widget=forms.TextInput(DECIMAL),
            )  # fmt: skip
            rest.unit = REST_IN[item.base_unit][0]  # type: ignore[attr-defined]
            self.add_field(f"opened_{pk}", rest)
        if not self.last_day:
            stays = packs_field(item, required=False, label="Stays at the site for tomorrow")
            self.add_field(f"stays_{pk}", stays)
        waste = "Opened or spoilt, to waste" if is_kit else "Spoilt, to waste"
        self.add_field(f"waste_{pk}", packs_field(item, required=False, label=waste))
        reason = forms.CharField(label="Why waste, and where to", max_length=200, required=False)
        self.add_field(f"reason_{pk}", reason)

    def add_field(self, name: str, field: Any) -> None:
        """Add a field that may be left empty without the page saying so each time."""
        field.silent_optional = True
        if isinstance(field, forms.DecimalField):
            field.widget = forms.TextInput(DECIMAL)
        self.fields[name] = field

    @property
    def groups(self) -> list[tuple[LotBalance, str, list[BoundField], list[BoundField]]]:
        """The lots with their balance in words, the fields, and those that are folded away.

        Waste is folded until something is typed there or a sentence of the lot speaks of it.
        """
        found = []
        for row in self.balances:
            pk = row.lot.pk
            names = [f"{name}_{pk}" for name in ("back", "opened", "stays")]
            bound = [self[name] for name in names if name in self.fields]
            waste = [self[f"waste_{pk}"], self[f"reason_{pk}"]]
            unfold = any(field.errors for field in (*bound, *waste))
            unfold = unfold or any(field.value() for field in waste)
            shown, folded = ([*bound, *waste], []) if unfold else (bound, waste)
            found.append((row, balance_words(row), shown, folded))
        return found

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or self.cleaned_data
        values["rows"] = [found for row in self.balances if (found := self.row_of(row, values))]
        return values

    def row_of(self, row: LotBalance, values: dict[str, Any]) -> EveningRow | None:
        """Return what became of one lot; None with a sentence at the field that is wrong."""
        lot, item = row.lot, row.lot.item
        parts: dict[str, int] = {}
        for name in ("back", "stays", "waste"):
            given = values.get(f"{name}_{lot.pk}")
            try:
                parts[name] = base_units(item, given) if given else 0
            except forms.ValidationError as error:
                opened = item.kind == ItemKind.KIT and name == "back"
                self.add_error(
                    f"{name}_{lot.pk}",
                    f"An opened kit of {lot.code} does not come back: count it under 'Opened or "
                    "spoilt, to waste'. Only whole, unopened kits are counted here."
                    if opened else error,
                )  # fmt: skip
                return None
        rest = values.get(f"opened_{lot.pk}")
        parts["opened"] = int(rest * REST_IN[item.base_unit][1]) if rest else 0
        reason = values.get(f"reason_{lot.pk}") or ""
        if parts["waste"] and not reason.strip():
            self.add_error(f"reason_{lot.pk}", "Say why it is waste and where it went.")
            return None
        found = EveningRow(lot_id=lot.pk, reason=reason, **parts)
        missing = unexplained(row.left, found)
        if missing > 0 and not row.is_mixed:
            return EveningRow(lot_id=lot.pk, reason=reason, used=missing, **parts)
        if missing > 0 and not values.get("sure"):
            self.asks = True
            verb = "is" if missing == item.pack_quantity else "are"
            self.add_error(
                f"back_{lot.pk}",
                f"{packs(item, missing)} of {lot.code} {verb} not accounted for. Count again; if "
                "that is all, tick so below.",
            )  # fmt: skip
        return found
