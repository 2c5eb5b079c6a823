"""The list of quotes."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import django_tables2 as tables
from django.utils.html import format_html
from django.utils.safestring import SafeString

from jobs.kernel.tables import (
    DayColumn,
    FieldBookTable,
    FigureColumn,
    MoneyColumn,
    StateColumn,
    state_word,
)
from jobs.work.enums import Stage
from jobs.work.rules import CLOSED
from quotes.pricebook.rules import margin_in, overhead_on
from quotes.quoting.enums import RevisionState
from quotes.quoting.models import Revision

LEVELS = {"accepted": "ready", "declined": "stop", "sent": "look"}


def is_closed(revision: Any) -> bool:
    """Return whether nobody waits for an answer any more: the job was lost or cancelled."""
    return revision.state == RevisionState.SENT and Stage(revision.quote.job.stage) in CLOSED


def standing(revision: Any) -> tuple[str, str]:
    """Return the level of a revision's state and its words, with the job's where it is closed."""
    word = revision.get_state_display()
    if is_closed(revision):
        return "", f"{word}, job {revision.quote.job.get_stage_display()}"
    return LEVELS.get(revision.state, ""), word


class QuoteTable(FieldBookTable):
    """One row a quote: its newest revision, an accepted one with the options that were taken.

    Cost and margin are left out by the view.
    """

    quote = tables.Column(verbose_name="Quote", order_by="quote__reference")
    job = tables.Column(
        verbose_name="Job", accessor="quote__job__title", order_by="quote__job__title"
    )
    customer = tables.Column(
        verbose_name="Customer", accessor="quote__job__customer__name",
        order_by="quote__job__customer__name",
    )  # fmt: skip
    number = tables.Column(verbose_name="Revision")
    state = StateColumn(verbose_name="State")
    sent_at = DayColumn(verbose_name="Sent")
    valid_until = DayColumn(verbose_name="Holds until")
    net = MoneyColumn(verbose_name="Before VAT", accessor="agreed_net", total=True)
    gross = MoneyColumn(verbose_name="With VAT", accessor="agreed_gross", total=True)
    direct = MoneyColumn(verbose_name="Direct cost", accessor="agreed_direct", total=True)
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

    def render_state(self, record: Any) -> SafeString:
        return state_word(*standing(record))

    def value_state(self, record: Any) -> str:
        return standing(record)[1]

    def render_margin(self, record: Any) -> str:
        share = self.value_margin(record)
        return "–" if share is None else f"{share:.1f}"

    def value_margin(self, record: Any) -> Decimal | None:
        options = record.agreed_direct - record.direct
        floor = record.floor + options + overhead_on(options, record.overhead_percent)
        return margin_in(record.agreed_net, floor)
