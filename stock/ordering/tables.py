"""Lists of orders, deliveries, shortages and reminders."""

from __future__ import annotations

from typing import Any

import django_tables2 as tables
from django.urls import reverse

from jobs.kernel.tables import (
    DayColumn,
    FieldBookTable,
    FigureColumn,
    MomentColumn,
    MoneyColumn,
    QuantityColumn,
    StateColumn,
    VerbColumn,
)
from stock.ordering.enums import OrderState, ReminderState
from stock.ordering.models import GoodsIn, Order, Reminder, Shortage

ORDER_LEVELS = {OrderState.DRAFT: "look", OrderState.RECEIVED: "ready"}
REMINDER_LEVELS = {ReminderState.DUE: "look", ReminderState.SENT: "ready"}


class OrderTable(FieldBookTable):
    reference = tables.Column(
        verbose_name="Order", accessor="reference", empty_values=(), linkify=True
    )
    supplier = tables.Column(verbose_name="Supplier", order_by=("supplier__name",))
    channel = tables.Column(
        verbose_name="How", accessor="channel__get_kind_display", order_by=("channel__kind",)
    )
    state = StateColumn(
        verbose_name="State", accessor="get_state_display", order_by="state",
        level=lambda row: ORDER_LEVELS.get(row.state, ""),
    )  # fmt: skip
    line_count = FigureColumn(verbose_name="Lines")
    placed_at = MomentColumn(verbose_name="Placed")
    expected_on = DayColumn(verbose_name="Expected")
    supplier_reference = tables.Column(verbose_name="Their reference")

    class Meta:
        model = Order
        fields = (
            "reference", "supplier", "channel", "state", "line_count", "placed_at", "expected_on",
            "supplier_reference",
        )  # fmt: skip

    def render_reference(self, record: Order) -> str:
        return record.reference or "draft"

    def value_reference(self, record: Order) -> str:
        return record.reference or ""


class GoodsInTable(FieldBookTable):
    order = tables.Column(
        verbose_name="Order", accessor="order__reference", order_by=("order__reference",),
        linkify=lambda record: record.order.get_absolute_url(),
    )  # fmt: skip
    supplier = tables.Column(
        verbose_name="Supplier", accessor="order__supplier", order_by=("order__supplier__name",)
    )
    received_at = MomentColumn(verbose_name="Received", linkify=True)
    delivery_note = tables.Column(verbose_name="Delivery note")
    carriage = MoneyColumn(verbose_name="Carriage", total=True)
    amiss = FigureColumn(verbose_name="Amiss")
    claim_by = DayColumn(verbose_name="Claim by")
    wrap = tables.Column(verbose_name="Wrap", accessor="get_wrap_display", order_by="wrap")
    by = tables.Column(verbose_name="By", order_by=("by__name",))
    undone = tables.Column(verbose_name="Undone because", accessor="undone_because")

    class Meta:
        model = GoodsIn
        fields = (
            "order", "supplier", "received_at", "delivery_note", "carriage", "amiss", "claim_by",
            "wrap", "by", "undone",
        )  # fmt: skip


class ShortageTable(FieldBookTable):
    item = tables.Column(verbose_name="Item", order_by=("item__name",))
    job = tables.Column(
        verbose_name="Job", accessor="job__reference",
        linkify=lambda record: reverse("work:detail", args=[record.job_id]),
    )  # fmt: skip
    colour_group = tables.Column(verbose_name="Colour group")
    quantity = QuantityColumn(verbose_name="Short", unit="item__base_unit")
    packs = FigureColumn(verbose_name="Packs", orderable=False)
    needed_on = DayColumn(verbose_name="Needed")
    order_by = MomentColumn(verbose_name="Order by")
    closed_because = tables.Column(verbose_name="Ended because")
    do = VerbColumn(
        "order", url=lambda row: f"{reverse('ordering:draft')}?shortage={row.pk}"
        if row.closed_at is None else "",
    )  # fmt: skip

    class Meta:
        model = Shortage
        fields = (
            "item", "job", "colour_group", "quantity", "packs", "needed_on", "order_by",
            "closed_because", "do",
        )  # fmt: skip


class ReminderTable(FieldBookTable):
    user = tables.Column(verbose_name="To", order_by=("user__name",))
    kind = tables.Column(verbose_name="What", accessor="get_kind_display", order_by="kind")
    about = FigureColumn(verbose_name="Shortages")
    due_at = MomentColumn(verbose_name="Due")
    handed_at = MomentColumn(verbose_name="Handed over")
    state = StateColumn(
        verbose_name="State", accessor="get_state_display", order_by="state",
        level=lambda row: REMINDER_LEVELS.get(row.state, ""),
    )  # fmt: skip

    class Meta:
        model = Reminder
        fields: Any = ("user", "kind", "about", "due_at", "handed_at", "state")
