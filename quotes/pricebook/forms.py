"""Forms of the price book.

Long because: each kind of entry has its form beside the form of its dated figures.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from quotes.pricebook.enums import BookKind, Measure, Unit
from quotes.pricebook.models import Plant, WorkItem, WorkItemRate
from quotes.pricebook.rules import MOST_STOCKED
from stock.catalogue.models import Item

DECIMAL = {"inputmode": "decimal"}
# What a unit takes from the yard, one row an item; rows left blank are none.
STOCK_ROWS = range(1, MOST_STOCKED + 1)
DAYWORK = ("daywork_labour_percent", "daywork_plant_percent", "daywork_material_percent")


def figure_field(
    label: str, unit: str = "", *, places: int = 4, most: Decimal | int | None = None,
    help_text: str = "", required: bool = True, initial: Any = None,
) -> forms.DecimalField:  # fmt: skip
    """Return a field for a figure that is not negative, with its unit behind it."""
    field = forms.DecimalField(
        label=label, min_value=0, max_value=most, max_digits=10, decimal_places=places,
        help_text=help_text, required=required, initial=initial,
        widget=forms.TextInput(attrs=DECIMAL),
    )  # fmt: skip
    field.unit = unit  # type: ignore[attr-defined]
    return field


def day_field(label: str, help_text: str = "") -> forms.DateField:
    """Return a field for a day."""
    return forms.DateField(
        label=label,
        help_text=help_text,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )


class WorkItemForm(forms.Form):
    """A new work item."""

    code = forms.CharField(max_length=20, help_text="short, as LIFT or EDGE-STEEL")
    name = forms.CharField(max_length=100)
    unit = forms.ChoiceField(choices=Unit.choices)
    measure = forms.ChoiceField(
        label="measured by the survey as",
        choices=Measure.choices,
        help_text="a quote then takes the survey's figure, so that nobody types it twice",
    )
    is_surface = forms.BooleanField(label="the labour of laying the surface itself", required=False)

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        measure, unit = cleaned.get("measure"), cleaned.get("unit")
        if measure == Measure.AREA and unit != Unit.SQUARE_METRE:
            self.add_error("unit", "Work that takes the measured area is counted in m².")
        if measure == Measure.EDGE and unit != Unit.METRE:
            self.add_error("unit", "Work that takes the measured edge is counted in m.")
        if cleaned.get("is_surface") and unit != Unit.SQUARE_METRE:
            self.add_error("unit", "The labour of laying is counted in m².")
        return cleaned


class WorkItemChangeForm(forms.Form):
    """Words and measure of a work item; code and unit stay."""

    name = forms.CharField(max_length=100)
    measure = forms.ChoiceField(label="measured by the survey as", choices=Measure.choices)
    is_surface = forms.BooleanField(label="the labour of laying the surface itself", required=False)

    def __init__(self, *args: Any, work_item: WorkItem, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.unit = work_item.unit

    def clean_measure(self) -> str:
        measure: str = self.cleaned_data["measure"]
        wanted = {Measure.AREA: Unit.SQUARE_METRE, Measure.EDGE: Unit.METRE}.get(Measure(measure))
        if wanted and wanted != self.unit:
            raise forms.ValidationError(
                f"This work is counted in {Unit(self.unit).label}, which is not what is measured."
            )
        return measure


class RateForm(forms.Form):
    """New figures of a work item from a day on."""

    valid_from = day_field("holds from", "older quotes and days keep the figures they had")
    labour_hours = figure_field("labour", "h a unit", initial=0)
    plant = figure_field("plant", "£ a unit", initial=0)
    machine = forms.ModelChoiceField(
        label="a machine of the book",
        queryset=Plant.objects.none(),
        required=False,
        empty_label="none",
        help_text="at its day rate, beside the plant typed above",
    )
    machine_days = figure_field("days of it", "a unit", initial=0)
    material = figure_field("material bought in", "£ a unit", initial=0)
    waste_percent = figure_field("waste on material and stock", "%", places=2, most=100, initial=0)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # One read of the catalogue for all rows.
        items = list(Item.objects.filter(archived_at=None).values_list("pk", "name"))
        for n in STOCK_ROWS:
            self.fields |= stock_fields(n, items)
        machine: Any = self.fields["machine"]
        machine.queryset = Plant.objects.filter(archived_at=None)
        self.fields["machine_days"].required = False

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        self._clean_stock(cleaned)
        if bool(cleaned.get("machine")) != bool(cleaned.get("machine_days")):
            self.add_error(
                "machine_days",
                "Give the machine together with the days of it that one unit takes, or neither.",
            )
        return cleaned

    def _clean_stock(self, cleaned: dict[str, Any]) -> None:
        seen: set[Any] = set()
        for n in STOCK_ROWS:
            item, quantity = cleaned.get(f"stock_item_{n}"), cleaned.get(f"stock_quantity_{n}")
            if {f"stock_item_{n}", f"stock_quantity_{n}"} & set(self.errors):
                continue
            if item in seen:
                self.add_error(f"stock_item_{n}", "This item stands above: give it in one row.")
            elif item and not quantity:
                self.add_error(
                    f"stock_quantity_{n}", "Give how much of it one unit takes, more than 0."
                )
            elif quantity and not item:
                self.add_error(
                    f"stock_item_{n}", "Choose the item of which one unit takes so much."
                )
            if item:
                seen.add(item)

    @property
    def figures(self) -> dict[str, Any]:
        """The cleaned values as the service takes them."""
        values = dict(self.cleaned_data)
        machine = values.pop("machine")
        rows = [(values.pop(f"stock_item_{n}"), values.pop(f"stock_quantity_{n}"))
                for n in STOCK_ROWS]  # fmt: skip
        return values | {
            "machine_id": machine.pk if machine else None,
            "machine_days": values["machine_days"] or Decimal(0),
            "stock": {item: quantity for item, quantity in rows if item},
        }


def stock_fields(n: int, items: list[tuple[int, str]]) -> dict[str, forms.Field]:
    """Return the fields of one row of the yard: the item's number, and base units a unit."""
    item = forms.TypedChoiceField(
        label=f"taken from the yard, {n}", choices=[("", "nothing"), *items], coerce=int,
        empty_value=None, required=False,
        help_text="at the suppliers' prices of the day" if n == 1 else "",
        error_messages={"invalid_choice": "Choose an item from the list, or nothing."},
    )  # fmt: skip
    quantity = forms.IntegerField(
        label=f"how much of {n} a unit takes", min_value=0, max_value=10_000_000, required=False,
        help_text="in base units: mm of edging, g of stone, pieces of kits; 1 m is 1000 mm"
        if n == 1 else "",
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )  # fmt: skip
    fields: dict[str, Any] = {f"stock_item_{n}": item, f"stock_quantity_{n}": quantity}
    for field in fields.values():
        field.silent_optional = True
    return fields


def stock_initial(rate: WorkItemRate) -> dict[str, Any]:
    """Return what the rows of the yard begin with: those of an earlier rate."""
    found: dict[str, Any] = {}
    for n, each in zip(STOCK_ROWS, rate.stock.all(), strict=False):
        found |= {f"stock_item_{n}": each.item_id, f"stock_quantity_{n}": each.quantity}
    return found


class FirmRatesForm(forms.Form):
    """The firm's own rates from a day on."""

    valid_from = day_field("hold from", "quotes already sent keep theirs")
    labour_hourly = figure_field("labour", "£ an hour")
    overhead_percent = figure_field(
        "overhead", "% of direct cost", places=2, most=Decimal("999.99")
    )
    margin_percent = figure_field(
        "margin", "% of the price before VAT", places=2, most=Decimal("99.99")
    )
    vat_percent = figure_field("VAT", "%", places=2, most=100)
    waste_percent = figure_field("waste in take-offs", "%", places=2, most=100)
    deposit_percent = figure_field("deposit", "% of the price with VAT", places=2, most=100)
    minimum_charge = figure_field("least price of a job, before VAT", "£", places=2)
    validity_days = forms.IntegerField(
        label="quotes hold",
        min_value=1,
        max_value=365,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )

    mile_rate = figure_field("travel", "£ a mile")
    crew_size = forms.IntegerField(
        label="a crew has",
        min_value=1,
        max_value=20,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    day_hours = figure_field("a crew's day on site", "h", places=2, most=24)
    daywork_labour_percent = figure_field(
        "day-work, on labour", "%", places=2, most=Decimal("999.99"), required=False,
        help_text="added to prime cost; all three empty: priced as other work",
    )  # fmt: skip
    daywork_plant_percent = figure_field(
        "day-work, on plant", "%", places=2, most=Decimal("999.99"), required=False
    )
    daywork_material_percent = figure_field(
        "day-work, on material", "%", places=2, most=Decimal("999.99"), required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["validity_days"].unit = "days"  # type: ignore[attr-defined]
        self.fields["crew_size"].unit = "people"  # type: ignore[attr-defined]
        for name in DAYWORK:
            self.fields[name].silent_optional = True  # type: ignore[attr-defined]

    def clean_day_hours(self) -> Decimal:
        hours: Decimal = self.cleaned_data["day_hours"]
        if not hours:
            raise forms.ValidationError("Give more than 0 hours.")
        return hours

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        given = [name for name in DAYWORK if cleaned.get(name) is not None]
        if 0 < len(given) < len(DAYWORK) and not self.errors:
            missing = next(name for name in DAYWORK if name not in given)
            self.add_error(missing, "Give all three additions for day-work, or none.")
        return cleaned

    @property
    def figures(self) -> dict[str, Any]:
        """The cleaned values as the service takes them."""
        values = dict(self.cleaned_data)
        percents = tuple(values.pop(name) for name in DAYWORK)
        return values | {"daywork_percents": None if None in percents else percents}


class EntryForm(forms.Form):
    """A new entry of plant, ground or small jobs."""

    name = forms.CharField(max_length=100)
    unit = forms.ChoiceField(choices=Unit.choices, initial=Unit.EACH, help_text="priced by")

    def __init__(self, *args: Any, kind: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if kind != BookKind.SMALL:
            del self.fields["unit"]


class PlantRateForm(forms.Form):
    """What a machine's hire costs from a day on."""

    valid_from = day_field("holds from", "older quotes and days keep the figures they had")
    day_rate = figure_field("a day", "£")
    week_rate = figure_field("a week", "£", required=False, help_text="empty: by the day only")
    week_days = forms.IntegerField(label="a week covers", min_value=1, max_value=7, initial=5)
    minimum_days = forms.IntegerField(label="least hire", min_value=1, max_value=365, initial=1)
    delivery = figure_field("brought and fetched", "£", initial=0)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["week_rate"].silent_optional = True  # type: ignore[attr-defined]
        for name in ("week_days", "minimum_days"):
            self.fields[name].unit = "days"  # type: ignore[attr-defined]


class GroundRateForm(forms.Form):
    """How a ground bulks, what it weighs loose and what carting it costs, from a day on."""

    valid_from = day_field("holds from", "older quotes and days keep the figures they had")
    bulking = figure_field(
        "loose from one solid", "m³", places=3, most=10,
        help_text="how much more room it takes once dug; your own experience, or the tip's",
    )  # fmt: skip
    density = figure_field("mass of a loose m³", "t", places=3, most=10)
    load_t = figure_field("a load", "t", places=2, most=100)
    haul = figure_field("a load away", "£", initial=0)
    tip = figure_field("tipping", "£ a t", initial=0)

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        for name, least in (("bulking", 1), ("density", Decimal("0.001")), ("load_t", 0)):
            value = cleaned.get(name)
            if value is not None and (value < least or not value):
                self.add_error(name, f"Give {'at least 1' if least == 1 else 'more than 0'}.")
        return cleaned


class SmallJobRateForm(forms.Form):
    """What one piece is sold for, and what it takes, from a day on."""

    valid_from = day_field("holds from", "older quotes and days keep the figures they had")
    price = figure_field("price before VAT", "£", places=2)
    labour_hours = figure_field("labour", "h", initial=0)
    plant = figure_field("plant", "£", initial=0)
    material = figure_field("material", "£", initial=0)


RATE_FORMS: dict[str, type[forms.Form]] = {
    BookKind.PLANT: PlantRateForm,
    BookKind.GROUND: GroundRateForm,
    BookKind.SMALL: SmallJobRateForm,
}
