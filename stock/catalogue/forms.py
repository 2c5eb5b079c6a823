"""What is typed of items, blend cards and places."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from django import forms

from jobs.kernel.forms import VersionedForm
from stock.catalogue.enums import BaseUnit, ItemKind, PlaceKind
from stock.catalogue.models import Blend, Item

NUMERIC = {"inputmode": "numeric", "class": "short"}
UNITS = {
    "pack_mass_g": "g", "part_a_g": "g", "part_b_g": "g", "working_min_20c": "min",
    "rain_safe_min_20c": "min", "cure_min_20c": "min", "foot_min_20c": "min",
    "vehicle_min_20c": "min", "shelf_life_months": "months", "expiry_margin_days": "days",
    "conditioning_hours": "h", "store_low_c": "°C", "store_high_c": "°C",
    "store_hours_allowed": "h", "size_low_mm": "mm", "size_high_mm": "mm",
    "yield_area_m2": "m²", "yield_depth_mm": "mm", "compacted_density": "kg/m³",
    "mix_seconds": "s",
}  # fmt: skip


class ItemForm(forms.ModelForm[Item]):
    """An item; what only a kit or only stone has is left out of the others."""

    class Meta:
        model = Item
        fields = (
            "code", "name", "kind", "base_unit", "pack_name", "pack_quantity", "pack_mass_g",
            "packs_per_pallet", "run_matched", "size_low_mm", "size_high_mm", "part_a_g",
            "part_b_g", "uv_stable", "season", "working_min_20c", "rain_safe_min_20c",
            "cure_min_20c", "foot_min_20c", "vehicle_min_20c", "shelf_life_months",
            "expiry_margin_days", "conditioning_hours", "store_low_c", "store_high_c",
            "store_hours_allowed", "storage_note", "hazard_note", "least", "most",
        )  # fmt: skip
        labels: ClassVar[dict[str, str]] = {
            "base_unit": "Counted in", "pack_name": "A pack is called",
            "pack_quantity": "One pack holds", "shelf_life_months": "Shelf life",
            "expiry_margin_days": "Days to spare before the date",
            "conditioning_hours": "Hours to warm or cool before use",
            "store_low_c": "Store not below", "store_high_c": "Store not above",
            "store_hours_allowed": "Hours outside that are allowed",
            "size_low_mm": "Stone from", "size_high_mm": "Stone to",
        }  # fmt: skip
        help_texts: ClassVar[dict[str, str]] = {
            "pack_quantity": "In the unit it is counted in: a 20 kg bag holds 20000 g.",
            "hazard_note": "As the label says; the safety data sheet rules.",
            "working_min_20c": "As the data sheet prints it at 20 °C.",
        }  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, unit in UNITS.items():
            if name in self.fields:
                self.fields[name].unit = unit  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or self.cleaned_data
        if values.get("kind") == ItemKind.KIT:
            for name, part in (("part_a_g", "A"), ("part_b_g", "B")):
                if not values.get(name) and name not in self.errors:
                    self.add_error(name, f"Give the mass of part {part}; a kit has both parts.")
            if values.get("base_unit") != BaseUnit.PIECE:
                self.add_error("base_unit", "Kits are counted in pieces.")
        elif "kind" in values:
            values["part_a_g"] = values["part_b_g"] = None
        if values.get("run_matched") and values.get("kind") != ItemKind.STONE:
            self.add_error("run_matched", "Only stone is matched by its production run.")
        low, high = values.get("store_low_c"), values.get("store_high_c")
        if low is not None and high is not None and low > high:
            self.add_error("store_high_c", "The upper limit is below the lower one.")
        for name, least in (("pack_quantity", 1), ("least", 0), ("most", 0)):
            figure = values.get(name)
            if figure is not None and figure < least:
                self.add_error(name, f"This must be {least} or more.")
        return values


class ItemEditForm(VersionedForm, ItemForm):
    """An item that is there, at the version the page was opened at."""


class SubstituteForm(forms.Form):
    """An item that may stand in for `item`: of its kind, in its unit, not yet among them."""

    stand_in = forms.ModelChoiceField(
        label="May be replaced by", queryset=Item.objects.none(),
        help_text="Mass for mass, kit for kit. The customer must have agreed to another colour.",
    )  # fmt: skip

    def __init__(self, *args: Any, item: Item, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["stand_in"].queryset = (  # type: ignore[attr-defined]
            Item.objects.current()
            .filter(kind=item.kind, base_unit=item.base_unit)
            .exclude(pk=item.pk)
            .exclude(stands_in_for__item=item)
        )


COMPONENTS = range(1, 7)


class BlendFields(forms.Form):
    """A blend card: a kit, what goes in, and its yield or its density (or both)."""

    name = forms.CharField(max_length=60)
    kit = forms.ModelChoiceField(queryset=Item.objects.none())
    yield_area_m2 = forms.DecimalField(
        label="One mix covers", required=False, min_value=Decimal("0.001"), max_digits=6,
        decimal_places=3, help_text="On a flat base, without texture and waste.",
    )  # fmt: skip
    yield_depth_mm = forms.DecimalField(
        label="At a depth of", required=False, min_value=Decimal("0.1"), max_digits=4,
        decimal_places=1,
    )  # fmt: skip
    compacted_density = forms.DecimalField(
        label="Or compacted density", required=False, min_value=1, max_digits=6, decimal_places=1,
        help_text="Of the laid, compacted whole mix. Given both, they agree within 1 %.",
    )  # fmt: skip
    mix_seconds = forms.IntegerField(label="Mixing time", min_value=1, max_value=3600, initial=120)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        items = Item.objects.current()
        self.fields["kit"].queryset = items.filter(kind=ItemKind.KIT)  # type: ignore[attr-defined]
        bags = items.filter(kind__in=(ItemKind.STONE, ItemKind.FILLER))
        for n in COMPONENTS:
            self.fields[f"item_{n}"] = forms.ModelChoiceField(
                label=f"Stone or filler {n}", queryset=bags, required=False
            )
            self.fields[f"bags_{n}"] = forms.DecimalField(
                label=f"Bags in a mix, {n}", required=False, min_value=Decimal("0.01"),
                max_digits=5, decimal_places=2, widget=forms.NumberInput(NUMERIC),
            )  # fmt: skip
        for name, unit in UNITS.items():
            if name in self.fields:
                self.fields[name].unit = unit  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        values: dict[str, Any] = super().clean() or self.cleaned_data
        components = []
        for n in COMPONENTS:
            item, bags = values.pop(f"item_{n}", None), values.pop(f"bags_{n}", None)
            if item is not None and bags is None and f"bags_{n}" not in self.errors:
                self.add_error(f"bags_{n}", "How many bags of it go into a mix?")
            if item is None and bags is not None:
                self.add_error(f"item_{n}", "Of what?")
            if item is not None and bags is not None:
                components.append((item, bags))
        density = values.get("compacted_density")
        if not self.errors and values.get("yield_area_m2") is None and density is None:
            self.add_error("yield_area_m2", "Give the yield with its depth, or the density.")
        values["components"] = components
        return values


class BlendForm(BlendFields):
    """A new card."""


class BlendEditForm(BlendFields, VersionedForm):
    """A card that is there, at the version the page was opened at."""

    not_compared = VersionedForm.not_compared | {
        f"{part}_{n}" for n in COMPONENTS for part in ("item", "bags")
    }


def blend_initial(blend: Blend) -> dict[str, Any]:
    """Return a card's components as the form shows them."""
    initial: dict[str, Any] = {}
    for n, row in zip(COMPONENTS, blend.components.all(), strict=False):
        initial |= {f"item_{n}": row.item_id, f"bags_{n}": row.bags}
    return initial


class PlaceForm(forms.Form):
    kind = forms.ChoiceField(
        choices=[(kind.value, kind.label) for kind in (PlaceKind.BAY, PlaceKind.VAN)]
    )
    name = forms.CharField(max_length=60)
    near = forms.IntegerField(
        label="Order when picking", min_value=0, max_value=999, initial=50,
        widget=forms.NumberInput(NUMERIC), help_text="The smallest is picked first.",
    )  # fmt: skip


class PlaceEditForm(PlaceForm):
    kind = None  # type: ignore[assignment]
    archived = forms.BooleanField(label="No longer used", required=False)
