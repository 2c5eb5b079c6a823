"""Tables of the price book."""

from __future__ import annotations

from typing import Any

import django_tables2 as tables
from django.utils.html import format_html
from django.utils.safestring import SafeString

from jobs.kernel.tables import DayColumn, FieldBookTable, FigureColumn
from jobs.kernel.templatetags import firm
from quotes.pricebook.models import WorkItem


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
    rate_material = RateColumn(verbose_name="Material")
    rate_stock = tables.Column(verbose_name="From the yard")
    rate_from = DayColumn(verbose_name="Holds from")

    class Meta:
        model = WorkItem
        fields = (
            "name", "code", "unit", "measure", "rate_hours", "rate_plant", "rate_material",
            "rate_stock", "rate_from",
        )  # fmt: skip

    def render_name(self, value: str, record: WorkItem) -> SafeString:
        return format_html('<a href="{}">{}</a>', record.get_absolute_url(), value)
