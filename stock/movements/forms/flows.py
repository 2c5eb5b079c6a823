"""What is typed to issue, bring back, waste, move and count stock; quantities are in packs.

Every form carries a hidden key, so that a double click books once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from typing import Any

from django import forms

from jobs.kernel.forms import OnceForm
from stock.allocation.enums import NeededFor
from stock.catalogue.enums import ItemKind
from stock.catalogue.models import Item, Place
from stock.ledger.models import Lot
from stock.ledger.queries import AtSite, find_lot
from stock.ledger.rules import COUNTED, YARD, pack_words, plural
from stock.movements.queries import find_place
from stock.movements.services import ReturnRow

NUMERIC = {"inputmode": "decimal", "class": "short"}
MOST_PACKS = Decimal(100_000)


def day_input() -> forms.DateInput:
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


def yard_places() -> Any:
    """Return the places stock can be put in or taken from in the yard."""
    return Place.objects.filter(kind__in=YARD, archived_at=None)


def packs_field(item: Item, **kwargs: Any) -> forms.DecimalField:
    """Return a field for a number of an item's packs."""
    field = forms.DecimalField(
        min_value=0, max_value=MOST_PACKS, max_digits=10, decimal_places=3,
        widget=forms.NumberInput(NUMERIC), **kwargs,
    )  # fmt: skip
    field.unit = plural(item.pack_name)  # type: ignore[attr-defined]
    return field


def base_units(item: Item, packs: Decimal) -> int:
    """Return a number of packs in base units; ValidationError where it is not whole units."""
    units = packs * item.pack_quantity
    if units != units.to_integral_value():
        raise forms.ValidationError(f"{packs} {plural(item.pack_name)} is not a whole quantity.")
    return int(units)


class IssueForm(OnceForm):
    """For which day, and for which phase where a job has several."""

    day = forms.DateField(label="Issued on", widget=day_input())
    phase = forms.ChoiceField(
        label="What goes out", required=False,
        choices=[("", "all that is reserved"), *NeededFor.choices],
    )  # fmt: skip


class ReturnForm(OnceForm):
    """For each lot at the site: whole packs that come back, and what is left of an opened one.

    An opened kit never comes back, so nothing of it is asked.
    """

    place = forms.ModelChoiceField(label="Back into", queryset=Place.objects.none())
    day = forms.DateField(label="Brought back on", widget=day_input())

    def __init__(self, *args: Any, at_site: Sequence[AtSite], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.at_site = at_site
        self.fields["place"].queryset = yard_places()  # type: ignore[attr-defined]
        for row in at_site:
            item, code = row.lot.item, row.lot.code
            there = pack_words(row.quantity, item.pack_quantity, item.pack_name)
            is_kit = item.kind == ItemKind.KIT
            self.fields[f"whole_{row.lot.pk}"] = packs_field(
                item, required=False, label=f"Unopened: {item}, {code}",
                help_text=f"The book has {there} at the site."
                + (" An opened kit is waste: book it so on the lot's page." if is_kit else ""),
            )  # fmt: skip
            if not is_kit:
                self.fields[f"opened_{row.lot.pk}"] = packs_field(
                    item, required=False, label=f"Opened: {item}, {code}",
                    help_text="What is left, as part of a pack; it comes back held.",
                )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or self.cleaned_data
        rows = []
        for spot in self.at_site:
            for kind in ("whole", "opened"):
                name = f"{kind}_{spot.lot.pk}"
                if values.get(name):
                    try:
                        units = base_units(spot.lot.item, values[name])
                    except forms.ValidationError as error:
                        self.add_error(name, error)
                        continue
                    rows.append(ReturnRow(spot.lot.pk, units, opened=kind == "opened"))
        if not rows and not self.errors:
            raise forms.ValidationError(
                "Say what comes back: at least one pack. An opened kit is waste."
            )
        values["rows"] = rows
        return values


class LotQuantityForm(OnceForm):
    """Part of one lot, from one of the places where it lies."""

    from_place = forms.ModelChoiceField(label="From", queryset=Place.objects.none())
    packs = forms.DecimalField(label="How much")

    def __init__(self, *args: Any, lot: Lot, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lot = lot
        places = list(self.places())
        self.fields["from_place"].queryset = self.places()  # type: ignore[attr-defined]
        if len(places) == 1:  # where it lies in one place, nobody is asked
            self.initial.setdefault("from_place", places[0].pk)
        self.fields["packs"] = packs_field(lot.item, label="How much")

    def places(self) -> Any:
        """Return the places where something of the lot lies."""
        return Place.objects.filter(
            balances__lot=self.lot, balances__quantity__gt=0, kind__in=COUNTED
        )

    def clean_packs(self) -> Decimal:
        packs: Decimal = self.cleaned_data["packs"]
        if packs <= 0:
            raise forms.ValidationError("How much must be more than 0.")
        self.cleaned_data["quantity"] = base_units(self.lot.item, packs)
        return packs


class WasteForm(LotQuantityForm):
    reason = forms.CharField(
        max_length=200, widget=forms.Textarea({"rows": 2}), label="Why, and where it goes",
        help_text="Resin and hardener are disposed of as their safety data sheets say. The note "
        "with which a load leaves is recorded under Waste.",
    )  # fmt: skip


class TransferForm(LotQuantityForm):
    """Where to is scanned from the place's label, or chosen."""

    scanned = forms.CharField(
        label="To: scan the place's label, or type its name", required=False, max_length=200,
        widget=forms.TextInput({"autocomplete": "off", "spellcheck": "false"}),
    )  # fmt: skip
    to_place = forms.ModelChoiceField(
        label="Or choose it", queryset=Place.objects.none(), required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["to_place"].queryset = yard_places()  # type: ignore[attr-defined]
        for name in ("scanned", "to_place"):
            self.fields[name].silent_optional = True  # type: ignore[attr-defined]

    def clean_scanned(self) -> Place | None:
        code = self.cleaned_data["scanned"]
        found = find_place(code) if code else None
        if code and (found is None or found.kind not in YARD):
            raise forms.ValidationError(f"No bay or van has the label or name '{code[:60]}'.")
        return found

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or self.cleaned_data
        scanned, chosen = values.get("scanned"), values.get("to_place")
        if scanned and chosen and scanned != chosen:
            self.add_error("scanned", f"{scanned} was scanned and {chosen} chosen; which is it?")
        values["to_place"] = scanned or chosen
        if values["to_place"] is None and not self.errors:
            self.add_error("to_place", "Scan the place's label, or choose where it goes.")
        return values

    def places(self) -> Any:
        return super().places().filter(kind__in=YARD)


class CountForm(OnceForm):
    """What lies in a place, counted without being told what the book holds."""

    def __init__(self, *args: Any, lots: Iterable[Lot], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.lots = list(lots)
        for lot in self.lots:
            self.fields[f"lot_{lot.pk}"] = packs_field(
                lot.item, required=False, label=f"{lot.code}, {lot.item}"
            )
        self.fields["also"] = forms.CharField(
            label="Another lot's code, found here too", required=False, max_length=100
        )
        self.fields["also_packs"] = forms.DecimalField(
            label="How many packs of it", required=False, min_value=0, max_value=MOST_PACKS,
            max_digits=10, decimal_places=3, widget=forms.NumberInput(NUMERIC),
        )  # fmt: skip

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or self.cleaned_data
        counted: dict[int, int] = {}
        pairs = [(f"lot_{lot.pk}", lot, values.get(f"lot_{lot.pk}")) for lot in self.lots]
        if values.get("also"):
            lot = find_lot(values["also"])
            if lot is None:
                self.add_error("also", "No lot has this code.")
            elif values.get("also_packs") is None:
                self.add_error("also_packs", "How many packs of it lie here?")
            else:
                pairs.append(("also_packs", lot, values["also_packs"]))
        for name, lot, packs in pairs:
            if packs is not None:
                try:
                    counted[lot.pk] = base_units(lot.item, packs)
                except forms.ValidationError as error:
                    self.add_error(name, error)
        if not counted and not self.errors:
            raise forms.ValidationError("Count at least one lot; write 0 where nothing is left.")
        values["counted"] = counted
        return values


class UndoForm(OnceForm):
    reason = forms.CharField(
        label="Why is it undone?", max_length=200, widget=forms.Textarea({"rows": 2})
    )
