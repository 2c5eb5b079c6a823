"""The list of quotes."""

from __future__ import annotations

from decimal import Decimal

import django_tables2 as tables
from django.utils.html import format_html
from django.utils.safestring import SafeString

from jobs.kernel.tables import DayColumn, FieldBookTable, FigureColumn, MoneyColumn, StateColumn
from quotes.pricebook.rules import margin_in
from quotes.quoting.models import Revision

LEVELS = {"accepted": "ready", "declined": "stop", "sent": "look"}


class QuoteTable(FieldBookTable):
    """One row a quote: its newest revision. Cost and margin are left out by the view."""

    quote = tables.Column(verbose_name="Quote", order_by="quote__reference")
    job = tables.Column(
        verbose_name="Job", accessor="quote__job__title", order_by="quote__job__title"
    )
    customer = tables.Column(
        verbose_name="Customer", accessor="quote__job__customer__name",
        order_by="quote__job__customer__name",
    )  # fmt: skip
    number = tables.Column(verbose_name="Revision")
    state = StateColumn(verbose_name="State", level=lambda row: LEVELS.get(row.state, ""))
    sent_at = DayColumn(verbose_name="Sent")
    valid_until = DayColumn(verbose_name="Holds until")
    net = MoneyColumn(verbose_name="Before VAT", total=True)
    gross = MoneyColumn(verbose_name="With VAT", total=True, footer="")
    direct = MoneyColumn(verbose_name="Direct cost", total=True)
    margin = FigureColumn(
        verbose_name="Margin, %", accessor="pk", places=1, orderable=False, empty_values=()
    )

    class Meta:
        model = Revision
        fields = (
            "quote", "job", "customer", "number", "state", "sent_at", "valid_until", "net",
            "gross", "direct", "margin",
        )  # fmt: skip

    def render_quote(self, value: object, record: Revision) -> SafeString:
        return format_html('<a href="{}">{}</a>', record.get_absolute_url(), value)

    def value_quote(self, value: object) -> str:
        return str(value)

    def render_margin(self, record: Revision) -> str:
        share = self.value_margin(record)
        return "–" if share is None else f"{share:.1f}"

    def value_margin(self, record: Revision) -> Decimal | None:
        return margin_in(record.net, record.floor)
