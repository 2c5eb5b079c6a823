"""The list of messages to customers, and of the firm's own words."""

from __future__ import annotations

import django_tables2 as tables

from jobs.kernel.tables import DayColumn, FieldBookTable, MomentColumn, StateColumn, VerbColumn
from jobs.messages.models import CustomerMessage, Wording
from jobs.outbox.tables import level_of


class CustomerMessageTable(FieldBookTable):
    written_at = MomentColumn(verbose_name="Written")
    job = tables.Column(verbose_name="Job", accessor="job__reference", order_by="job__reference")
    customer = tables.Column(
        verbose_name="Customer", accessor="job__customer__name", order_by="job__customer__name"
    )
    kind = tables.Column(verbose_name="About")
    channel = tables.Column(
        verbose_name="As", accessor="message__get_channel_display", order_by="message__channel"
    )
    to = tables.Column(verbose_name="To", accessor="message__to", order_by="message__to")
    state = StateColumn(
        verbose_name="State", accessor="message__get_state_display", order_by="message__state",
        level=lambda row: level_of(row.message),
    )  # fmt: skip
    written_by = tables.Column(verbose_name="By", order_by="written_by__name")
    open = VerbColumn("open", url=lambda row: row.get_absolute_url())

    class Meta:
        model = CustomerMessage
        fields = (
            "written_at", "job", "customer", "kind", "channel", "to", "state", "written_by", "open",
        )  # fmt: skip


class WordingTable(FieldBookTable):
    kind = tables.Column(verbose_name="About")
    channel = tables.Column(verbose_name="As")
    valid_from = DayColumn(verbose_name="From")
    subject = tables.Column(verbose_name="Head")
    body = tables.Column(verbose_name="Words")
    written_by = tables.Column(verbose_name="By", order_by="written_by__name")
    open = VerbColumn("open", url=lambda row: row.get_absolute_url())

    class Meta:
        model = Wording
        fields = ("kind", "channel", "valid_from", "subject", "body", "written_by", "open")
