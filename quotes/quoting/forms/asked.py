"""Forms of lines that are reckoned from a few figures, and of what a spare mix costs."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any, ClassVar

from django import forms

from quotes.pricebook.enums import Unit
from quotes.pricebook.models import FirmRates, Ground, Plant, WorkItem
from quotes.quoting.enums import LineKind
from quotes.quoting.forms.drafts import DECIMAL, PoundsField, VersionedForm
from quotes.takeoff.forms.asking import number
from stock.catalogue.models import Blend


def figure(
    label: str, unit: str, *, places: int = 2, least: Any = 0, required: bool = True, **more: Any
) -> forms.DecimalField:
    """Return a field for a figure with its unit behind it."""
    field = forms.DecimalField(
        label=label, min_value=least, max_value=1_000_000, decimal_places=places,
        required=required, widget=forms.TextInput(attrs=DECIMAL), **more,
    )  # fmt: skip
    typed: Any = field
    typed.unit, typed.silent_optional = unit, not required
    return field


class AskedForm(VersionedForm):
    """Asks the figures of one kind of line; `asked` is what the service takes."""

    kind: ClassVar[LineKind]
    title: ClassVar[str]

    words = forms.CharField(max_length=200, required=False, help_text="empty: worded by itself")

    def __init__(self, *args: Any, rates: FirmRates | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["words"].silent_optional = True  # type: ignore[attr-defined]
        self.order_fields([name for name in self.fields if name != "words"])
        del rates

    @property
    def asked(self) -> dict[str, Any]:
        """What was asked, as JSON keeps it."""
        return {
            name: _plain(value)
            for name, value in self.cleaned_data.items()
            if name not in {"words", "version", "dig"}
        }

    @property
    def dig_item_id(self) -> int | None:
        """The work that digs what is carted away; None but for muck."""
        return None


def _plain(value: Any) -> Any:
    if value is None:
        return ""
    return str(value) if isinstance(value, Decimal) else getattr(value, "pk", value)


class TravelForm(AskedForm):
    """The way to the site and back, as often as it is driven."""

    kind = LineKind.TRAVEL
    title = "Travel"

    trips = forms.IntegerField(
        min_value=1, max_value=500, initial=1, widget=forms.TextInput({"inputmode": "numeric"})
    )
    miles = figure("there and back", "miles", required=False)
    hours = figure("time there and back", "h", required=False)
    people = forms.IntegerField(
        min_value=1, max_value=20, initial=2, widget=forms.TextInput({"inputmode": "numeric"})
    )
    sum = PoundsField(
        label="or a fixed sum", min_value=0, required=False, help_text="our cost of all trips"
    )

    def __init__(self, *args: Any, rates: FirmRates | None = None, **kwargs: Any) -> None:
        super().__init__(*args, rates=rates, **kwargs)
        self.fields["sum"].silent_optional = True  # type: ignore[attr-defined]
        if rates is not None:
            self.fields["people"].initial = rates.crew_size

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        way = cleaned.get("miles") or cleaned.get("hours")
        if bool(way) == bool(cleaned.get("sum")) and not self.errors:
            self.add_error("miles", "Give miles and hours, or a fixed sum.")
        return cleaned


class EntryForm(AskedForm):
    """A form about an entry of the price book."""

    model: ClassVar[Any]

    entry = forms.ModelChoiceField(queryset=Plant.objects.none())

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["entry"]
        field.queryset = self.model.objects.in_use()
        field.label = "what"


class HireForm(EntryForm):
    """A machine from the price book, for so many days."""

    kind = LineKind.HIRE
    title = "Hire"
    model = Plant

    days = figure("needed for", "days", places=1, least=Decimal("0.5"))


class MuckForm(EntryForm):
    """Ground to cart away: area and depth give its volume, its mass and the loads."""

    kind = LineKind.MUCK
    title = "Ground carted away"
    model = Ground

    area_m2 = figure("area", "m²", required=False, help_text="empty: the survey's surface")
    depth_mm = figure("depth", "mm", places=0, least=1)
    load_t = figure("a load", "t", required=False, help_text="empty: as in the price book")
    dig = forms.ModelChoiceField(
        label="dug by", queryset=WorkItem.objects.none(), required=False,
        empty_label="no line for the digging",
        help_text="work counted in m³; it gets a line by the same volume",
    )  # fmt: skip

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field: Any = self.fields["dig"]
        field.queryset = WorkItem.objects.in_use().filter(unit=Unit.CUBIC_METRE)
        field.silent_optional = True

    @property
    def dig_item_id(self) -> int | None:
        """The work that digs it, None for no line."""
        item = self.cleaned_data.get("dig")
        return item.pk if item else None


class DayworkForm(AskedForm):
    """A provisional quantity of work whose extent nobody can know yet."""

    kind = LineKind.DAYWORK
    title = "Day-work"

    hours = figure("labour", "h", required=False)
    plant = PoundsField(label="plant at cost", min_value=0, required=False)
    material = PoundsField(label="material at cost", min_value=0, required=False)

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        if not self.errors and not any(cleaned.get(n) for n in ("hours", "plant", "material")):
            self.add_error("hours", "Give hours, plant or material.")
        return cleaned


ASKED_FORMS: Mapping[str, type[AskedForm]] = {
    form.kind.value: form for form in (TravelForm, HireForm, MuckForm, DayworkForm)
}


class SmallJobForm(forms.Form):
    """One press: which small job, and how many of it."""

    entry = forms.IntegerField(min_value=1, widget=forms.HiddenInput)
    quantity = forms.DecimalField(
        min_value=Decimal("0.001"), max_value=100_000, decimal_places=3, required=False
    )


class SampleForm(VersionedForm):
    """The sample that the customer was shown."""

    blend = forms.ModelChoiceField(
        label="sample of", queryset=Blend.objects.none(), required=False, empty_label="none shown"
    )
    shown_on = forms.DateField(
        label="shown on", required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )  # fmt: skip
    signed_by = forms.CharField(
        label="signed by", max_length=120, required=False, help_text="empty: nobody signed"
    )

    def __init__(self, *args: Any, blends: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        field: Any = self.fields["blend"]
        field.queryset = blends
        for name in ("blend", "shown_on", "signed_by"):
            self.fields[name].silent_optional = True  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or {}
        day = cleaned.get("shown_on")
        if cleaned.get("blend") and not day and "shown_on" not in self.errors:
            self.add_error("shown_on", "Give the day on which it was shown.")
        if day and day > self.today:
            self.add_error("shown_on", "That day has not come yet.")
        return cleaned


class VatDocumentForm(forms.Form):
    """The paper that shows why another VAT rate applies."""

    file = forms.FileField(help_text="PDF or photo: the certificate or letter that shows it")


class SpareCostForm(forms.Form):
    """What a spare costs that comes back, and a second visit: two people for half a day.

    The first values are common practice, no source.
    """

    carriage = number("carriage of a spare, there and back", 0, 10_000, 6.0, unit="£")
    handling = number("handling of a spare", 0, 600, 15.0, unit="min")
    expiry = number("thrown away in the end, out of date", 0, 100, 5.0, unit="%")
    visit = number("a second visit", 0, 200, 8.0, unit="h of labour", required=False)
    miles = number("its way, there and back", 0, 1000, 20.0, unit="miles", required=False)

    @property
    def asked_for(self) -> dict[str, Decimal]:
        """What was asked, as the reckoning takes it."""
        names = ("carriage", "handling", "expiry")
        figures = {name: Decimal(repr(self.cleaned_data[name])) for name in names}
        return {
            "carriage": figures["carriage"],
            "handling_hours": figures["handling"] / 60,
            "expiry": figures["expiry"],
        }

    @property
    def second_visit(self) -> dict[str, Decimal]:
        """What a second visit takes; the first values where an address does not say."""
        figures = {}
        for name in ("visit", "miles"):
            value = self.cleaned_data[name]
            first = self.fields[name].initial
            figures[name] = Decimal(repr(first if value is None else value))
        return {"hours": figures["visit"], "miles": figures["miles"]}
