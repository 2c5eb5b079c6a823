"""The quotes behind the sums, one by one."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import django_tables2 as tables
from django.utils.html import format_html
from django.utils.safestring import SafeString

from jobs.kernel.tables import DayColumn, FieldBookTable, FigureColumn, MoneyColumn, StateColumn
from quotes.pricebook.rules import margin_in
from quotes.quoting.models import Revision
from quotes.results.enums import Outcome
from quotes.results.queries import floor_of

LEVELS = {"won": "ready", "lost": "stop", "lapsed": "look"}


class ResultTable(FieldBookTable):
    """One row a quote; the margin is left out by the view."""

    quote = tables.Column(verbose_name="Quote", order_by="quote__reference")
    job = tables.Column(
        verbose_name="Job", accessor="quote__job__title", order_by="quote__job__title"
    )
    customer = tables.Column(
        verbose_name="Customer", accessor="quote__job__customer__name",
        order_by="quote__job__customer__name",
    )  # fmt: skip
    first_sent = DayColumn(verbose_name="First sent")
    outcome = StateColumn(verbose_name="Outcome", level=lambda row: LEVELS.get(row.outcome, ""))
    why = tables.Column(verbose_name="Why")
    value = MoneyColumn(verbose_name="Before VAT", total=True)
    margin = FigureColumn(
        verbose_name="Margin, %", accessor="pk", places=1, orderable=False, empty_values=()
    )

    class Meta:
        model = Revision
        fields = (
            "quote", "job", "customer", "first_sent", "outcome", "why", "value", "margin",
        )  # fmt: skip

    def render_quote(self, value: object, record: Any) -> SafeString:
        return format_html('<a href="{}">{}</a>', record.get_absolute_url(), value)

    def value_quote(self, value: object) -> str:
        return str(value)

    def render_outcome(self, value: str, record: Any, column: Any) -> SafeString:
        word: SafeString = column.render(Outcome(value).label, record)
        return word

    def value_outcome(self, value: str) -> str:
        return str(Outcome(value).label)

    def render_margin(self, record: Any) -> str:
        share = self.value_margin(record)
        return "–" if share is None else f"{share:.1f}"

    def value_margin(self, record: Any) -> Decimal | None:
        return margin_in(record.value, floor_of(record))
