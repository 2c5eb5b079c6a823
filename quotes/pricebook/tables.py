"""Tables of the price book."""

from __future__ import annotations

from typing import Any

import django_tables2 as tables
from django.utils.html import format_html
from django.utils.safestring import SafeString

from jobs.kernel.tables import DayColumn, FieldBookTable, FigureColumn
from jobs.kernel.templatetags import firm
from quotes.pricebook.enums import BookKind
from quotes.pricebook.models import Ground, Plant, SmallJob, WorkItem


class RateColumn(FigureColumn):
    """A unit price in pounds with two to four places."""

    def write(self, value: Any) -> str:
        return firm.rate(value)


class WorkItemTable(FieldBookTable):
    """Work items with the figures that hold today."""

    name = tables.Column(verbose_name="Work")
    unit = tables.Column(verbose_name="Unit")
    measure = tables.Column(verbose_name="Measured as")
    rate_hours = FigureColumn(verbose_name="Labour, h", places=2)
    rate_plant = RateColumn(verbose_name="Plant")
    rate_machine = tables.Column(verbose_name="Machine")
    rate_material = RateColumn(verbose_name="Material")
    rate_stock = tables.Column(verbose_name="From the yard")
    rate_from = DayColumn(verbose_name="Holds from")

    class Meta:
        model = WorkItem
        fields = (
            "name", "code", "unit", "measure", "rate_hours", "rate_plant", "rate_machine",
            "rate_material", "rate_stock", "rate_from",
        )  # fmt: skip

    def render_name(self, value: str, record: WorkItem) -> SafeString:
        return format_html('<a href="{}">{}</a>', record.get_absolute_url(), value)

    def render_rate_stock(self, value: str, record: Any) -> str:
        more = record.rate_stocked - 1
        return f"{value} and {more} more" if more else value


class EntryTable(FieldBookTable):
    """What the tables of plant, ground and small jobs share: the name leads to the entry."""

    name = tables.Column(verbose_name="Name")

    def render_name(self, value: str, record: Any) -> SafeString:
        return format_html('<a href="{}">{}</a>', record.get_absolute_url(), value)


class PlantTable(EntryTable):
    """Machines with what their hire costs today."""

    now_day_rate = RateColumn(verbose_name="A day")
    now_week_rate = RateColumn(verbose_name="A week")
    now_minimum_days = FigureColumn(verbose_name="Least hire, days", places=0)
    now_delivery = RateColumn(verbose_name="Brought and fetched")
    now_valid_from = DayColumn(verbose_name="Holds from")

    class Meta:
        model = Plant
        fields = (
            "name", "now_day_rate", "now_week_rate", "now_minimum_days", "now_delivery",
            "now_valid_from",
        )  # fmt: skip


class GroundTable(EntryTable):
    """Kinds of ground with how they bulk and what carting them costs today."""

    now_bulking = FigureColumn(verbose_name="Loose m³ from a solid one", places=3)
    now_density = FigureColumn(verbose_name="t a loose m³", places=3)
    now_load_t = FigureColumn(verbose_name="A load, t", places=2)
    now_haul = RateColumn(verbose_name="A load away")
    now_tip = RateColumn(verbose_name="Tipping a tonne")
    now_valid_from = DayColumn(verbose_name="Holds from")

    class Meta:
        model = Ground
        fields = (
            "name", "now_bulking", "now_density", "now_load_t", "now_haul", "now_tip",
            "now_valid_from",
        )  # fmt: skip


class SmallJobTable(EntryTable):
    """Small jobs with their price today."""

    unit = tables.Column(verbose_name="Priced by")
    now_price = RateColumn(verbose_name="Price before VAT")
    now_labour_hours = FigureColumn(verbose_name="Labour, h", places=2)
    now_plant = RateColumn(verbose_name="Plant")
    now_material = RateColumn(verbose_name="Material")
    now_valid_from = DayColumn(verbose_name="Holds from")

    class Meta:
        model = SmallJob
        fields = (
            "name", "unit", "now_price", "now_labour_hours", "now_plant", "now_material",
            "now_valid_from",
        )  # fmt: skip


ENTRY_TABLES: dict[str, type[EntryTable]] = {
    BookKind.PLANT: PlantTable,
    BookKind.GROUND: GroundTable,
    BookKind.SMALL: SmallJobTable,
}
