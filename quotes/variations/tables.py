"""The firm's list of variations."""

from __future__ import annotations

import django_tables2 as tables
from django.utils.html import format_html
from django.utils.safestring import SafeString

from jobs.kernel.tables import DayColumn, FieldBookTable, FigureColumn, MoneyColumn, StateColumn
from quotes.variations.models import Variation

LEVELS = {"accepted": "ready", "declined": "stop", "sent": "look"}


class VariationTable(FieldBookTable):
    """One row a variation. What it costs us is not among them."""

    quote = tables.Column(
        verbose_name="Variation", accessor="revision__quote",
        order_by=("revision__quote__reference", "number"),
    )  # fmt: skip
    title = tables.Column(verbose_name="What changes")
    job = tables.Column(
        verbose_name="Job", accessor="revision__quote__job__title",
        order_by="revision__quote__job__title",
    )  # fmt: skip
    customer = tables.Column(
        verbose_name="Customer", accessor="revision__quote__job__customer__name",
        order_by="revision__quote__job__customer__name",
    )  # fmt: skip
    state = StateColumn(verbose_name="State", level=lambda row: LEVELS.get(row.state, ""))
    sent_at = DayColumn(verbose_name="Sent")
    valid_until = DayColumn(verbose_name="Holds until")
    order_by_day = DayColumn(
        verbose_name="Order by", accessor="order_by", order_by="order_by"
    )  # fmt: skip
    days_added = FigureColumn(verbose_name="Days", places=0)
    net = MoneyColumn(verbose_name="Before VAT", total=True)
    gross = MoneyColumn(verbose_name="With VAT", total=True, footer="")

    class Meta:
        model = Variation
        fields = (
            "quote", "title", "job", "customer", "state", "sent_at", "valid_until",
            "order_by_day", "days_added", "net", "gross",
        )  # fmt: skip

    def render_quote(self, record: Variation) -> SafeString:
        return format_html('<a href="{}">{}</a>', record.get_absolute_url(), str(record))

    def value_quote(self, record: Variation) -> str:
        return str(record)
