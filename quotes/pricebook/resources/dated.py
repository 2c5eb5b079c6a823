"""Plant, ground, small jobs and the firm's rates as sheets: one row for each day they hold from.

A row whose day stands in the book must say what the book says: the past is not rewritten. A later
day gives new figures, a new name a new entry.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any, ClassVar

from django.db.models import F, QuerySet

from jobs.kernel.errors import ServiceError
from jobs.kernel.sheetfields import Choice, Day, Figure, Whole, Words, column
from jobs.kernel.sheets import SheetResource
from quotes.pricebook.enums import BookKind, Unit
from quotes.pricebook.models import FirmRates, GroundRate, PlantRate, SmallJobRate
from quotes.pricebook.queries import BOOK
from quotes.pricebook.services import post_entry, post_entry_rate, post_firm_rates

ZERO = Decimal(0)
MOST = 999_999
STANDS = "Holds from: the book has other figures from that day; they stay. Give a later day."


class FigureOrNone(Figure):
    """A figure, or nothing."""

    def read(self, text: str) -> Any:
        return super().read(text) if text else None


def pounds(**options: Any) -> Figure:
    """Return a cell for pounds with up to four places."""
    return Figure(places=4, most=MOST, **options)


class EntryRateResource(SheetResource):
    """One row a name and day: subclasses add the figures."""

    kind: ClassVar[BookKind]
    needed: ClassVar[tuple[str, ...]] = ("Name", "Holds from")
    name = column("Name", "entry_name", Words(needed=True, most=100))
    valid_from = column("Holds from", "valid_from", Day())

    def get_queryset(self) -> QuerySet[Any]:
        """Return every dated row with the name of its entry."""
        _, model = BOOK[self.kind]
        more = {"entry_unit": F("entry__unit")} if self.kind == BookKind.SMALL else {}
        rows: QuerySet[Any] = model.objects.annotate(entry_name=F("entry__name"), **more)
        return rows.order_by("entry__name", "valid_from")

    def figures(self) -> list[str]:
        """Return the names of the rate's own figures."""
        return [name for name in self.fields if name not in {"name", "valid_from", "unit"}]

    def name_of(self, instance: Any) -> str:
        return f"{instance.entry_name}, {instance.valid_from:%d %b %Y}"

    def write(
        self,
        instance: Any,
        *,
        new: bool,
        row: Mapping[str, str],  # noqa: ARG002 - the kernel's
        by: Any,
        at: datetime,
    ) -> None:
        """Add the entry where its name is new, and its figures from the row's day on."""
        if not new:
            raise ServiceError(STANDS)
        model, _ = BOOK[self.kind]
        entry = model.objects.filter(name__iexact=instance.entry_name).first()
        unit = getattr(instance, "entry_unit", "")
        if entry is None:
            entry = post_entry(kind=self.kind, name=instance.entry_name, unit=unit, by=by, at=at)
        elif unit and unit != entry.unit:
            raise ServiceError(f"Unit: {entry} is sold by {Unit(entry.unit).label}; that stays.")
        values = {name: getattr(instance, name) for name in self.figures()}
        made = post_entry_rate(
            kind=self.kind, entry_id=entry.pk, valid_from=instance.valid_from, figures=values,
            by=by, at=at,
        )  # fmt: skip
        instance.pk = made.pk


class PlantResource(EntryRateResource):
    """Hire of machines."""

    kind = BookKind.PLANT
    day_rate = column("A day, £", "day_rate", pounds())
    week_rate = column("A week, £", "week_rate", FigureOrNone(places=4, most=MOST))
    week_days = column("Days of a week", "week_days", Whole(least=1, most=7, default=5))
    minimum_days = column("Least hire, days", "minimum_days", Whole(least=1, most=366, default=1))
    delivery = column("Brought and fetched, £", "delivery", pounds(default=ZERO))

    needed = ("Name", "Holds from", "A day, £")
    about: ClassVar[dict[str, str]] = {
        "Name": "a new one makes a new machine",
        "Holds from": "the day from which the figures hold, after that of the last ones",
        "A week, £": "empty where there is no price for a week",
    }

    class Meta:
        model = PlantRate
        fields = (
            "name", "valid_from", "day_rate", "week_rate", "week_days", "minimum_days", "delivery",
        )  # fmt: skip
        import_order = export_order = fields
        import_id_fields = ("name", "valid_from")


class GroundResource(EntryRateResource):
    """Ground that is dug and carted away."""

    kind = BookKind.GROUND
    bulking = column("Loose m³ from a solid m³", "bulking", Figure(places=3, least=1, most=9))
    density = column("t a loose m³", "density", Figure(places=3, least=Decimal("0.001"), most=9))
    load_t = column("A load, t", "load_t", Figure(least=Decimal("0.01"), most=99))
    haul = column("A load away, £", "haul", pounds(default=ZERO))
    tip = column("Tipping a tonne, £", "tip", pounds(default=ZERO))

    needed = ("Name", "Holds from", "Loose m³ from a solid m³", "t a loose m³", "A load, t")
    about: ClassVar[dict[str, str]] = {
        "Name": "a new one makes a new kind of ground",
        "Holds from": "the day from which the figures hold, after that of the last ones",
    }

    class Meta:
        model = GroundRate
        fields = ("name", "valid_from", "bulking", "density", "load_t", "haul", "tip")
        import_order = export_order = fields
        import_id_fields = ("name", "valid_from")


class SmallJobResource(EntryRateResource):
    """Small pieces of work with a price of their own."""

    kind = BookKind.SMALL
    unit = column("Unit", "entry_unit", Choice(Unit, default="each"))
    price = column("Price before VAT, £", "price", Figure(most=MOST))
    labour_hours = column("Labour, h", "labour_hours", Figure(places=4, most=9999, default=ZERO))
    plant = column("Plant, £", "plant", pounds(default=ZERO))
    material = column("Material, £", "material", pounds(default=ZERO))

    needed = ("Name", "Holds from", "Price before VAT, £")
    about: ClassVar[dict[str, str]] = {
        "Name": "a new one makes a new small job",
        "Holds from": "the day from which the figures hold, after that of the last ones",
        "Unit": "m², m, m³, t, each, day or h; that of a small job in the book stays",
    }

    class Meta:
        model = SmallJobRate
        fields = ("name", "unit", "valid_from", "price", "labour_hours", "plant", "material")
        import_order = export_order = fields
        import_id_fields = ("name", "valid_from")


class FirmRatesResource(SheetResource):
    """The firm's own rates, one row a day from which they hold."""

    valid_from = column("Holds from", "valid_from", Day())
    labour_hourly = column("Labour, £ an hour", "labour_hourly", pounds())
    overhead_percent = column("Overhead, %", "overhead_percent", Figure(most=999))
    margin_percent = column("Margin, %", "margin_percent", Figure(most=Decimal("99.99")))
    vat_percent = column("VAT, %", "vat_percent", Figure(most=100, default=Decimal(20)))
    waste_percent = column("Waste, %", "waste_percent", Figure(most=100, default=Decimal(5)))
    deposit_percent = column("Deposit, %", "deposit_percent", Figure(most=100, default=Decimal(25)))
    minimum_charge = column("Least price, £", "minimum_charge", Figure(most=MOST, default=ZERO))
    validity_days = column(
        "Quotes hold, days", "validity_days", Whole(least=1, most=366, default=30)
    )
    mile_rate = column("A mile, £", "mile_rate", pounds(default=Decimal("0.45")))
    crew_size = column("People of a crew", "crew_size", Whole(least=1, most=50, default=2))
    day_hours = column(
        "Hours of a crew's day",
        "day_hours",
        Figure(least=Decimal("0.5"), most=24, default=Decimal(8)),
    )
    daywork_labour_percent = column(
        "Day-work on labour, %", "daywork_labour_percent", FigureOrNone(most=999)
    )
    daywork_plant_percent = column(
        "Day-work on plant, %", "daywork_plant_percent", FigureOrNone(most=999)
    )
    daywork_material_percent = column(
        "Day-work on material, %", "daywork_material_percent", FigureOrNone(most=999)
    )

    needed = ("Holds from", "Labour, £ an hour", "Overhead, %", "Margin, %")
    about: ClassVar[dict[str, str]] = {
        "Holds from": "the day from which the rates hold, after that of the last ones",
        "Overhead, %": "of direct cost",
        "Margin, %": "of the price before VAT",
        "Day-work on labour, %": "all three additions, or none",
    }

    class Meta:
        model = FirmRates
        fields = (
            "valid_from", "labour_hourly", "overhead_percent", "margin_percent", "vat_percent",
            "waste_percent", "deposit_percent", "minimum_charge", "validity_days", "mile_rate",
            "crew_size", "day_hours", "daywork_labour_percent", "daywork_plant_percent",
            "daywork_material_percent",
        )  # fmt: skip
        import_order = export_order = fields
        import_id_fields = ("valid_from",)

    def get_queryset(self) -> QuerySet[FirmRates]:
        """Return all rates, the oldest first."""
        return FirmRates.objects.order_by("valid_from")

    def name_of(self, instance: Any) -> str:
        return f"rates from {instance.valid_from:%d %b %Y}"

    def write(
        self,
        instance: Any,
        *,
        new: bool,
        row: Mapping[str, str],  # noqa: ARG002 - the kernel's
        by: Any,
        at: datetime,
    ) -> None:
        """Give the firm the row's rates from its day on."""
        if not new:
            raise ServiceError(STANDS)
        names = [name for name in self.fields if not name.startswith("daywork_")]
        values = {name: getattr(instance, name) for name in names}
        asked = (
            instance.daywork_labour_percent, instance.daywork_plant_percent,
            instance.daywork_material_percent,
        )  # fmt: skip
        given = [each for each in asked if each is not None]
        if given and len(given) < len(asked):
            raise ServiceError("Day-work: give all three additions, or none of them.")
        made = post_firm_rates(
            daywork_percents=asked if given else None, by=by, at=at, **values
        )  # fmt: skip
        instance.pk = made.pk


DATED: dict[str, type[EntryRateResource]] = {
    BookKind.PLANT: PlantResource,
    BookKind.GROUND: GroundResource,
    BookKind.SMALL: SmallJobResource,
}
