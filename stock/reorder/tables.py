"""The list of reorder suggestions."""

from __future__ import annotations

import django_tables2 as tables
from django.urls import reverse

from jobs.kernel.tables import (
    DayColumn,
    FieldBookTable,
    FigureColumn,
    MomentColumn,
    StateColumn,
    VerbColumn,
)
from stock.reorder.enums import SuggestionState
from stock.reorder.models import Suggestion

LEVELS = {
    SuggestionState.OPEN: "look", SuggestionState.NO_WAY: "stop", SuggestionState.DRAFTED: "ready",
}  # fmt: skip


class SuggestionTable(FieldBookTable):
    item = tables.Column(verbose_name="Item", order_by=("item__name",))
    packs = FigureColumn(verbose_name="Packs")
    supplier = tables.Column(verbose_name="From", order_by=("supplier__name",))
    channel = tables.Column(
        verbose_name="How", accessor="channel__get_kind_display", order_by=("channel__kind",)
    )
    job = tables.Column(
        verbose_name="For", accessor="job__reference",
        linkify=lambda record: reverse("work:detail", args=[record.job_id])
        if record.job_id else None,
    )  # fmt: skip
    needed_on = DayColumn(verbose_name="Needed", year=False)
    order_by = MomentColumn(verbose_name="Order by")
    why = tables.Column(verbose_name="Why", orderable=False, attrs={"td": {"class": "reason"}})
    state = StateColumn(
        verbose_name="State", accessor="get_state_display", order_by="state",
        level=lambda row: LEVELS.get(row.state, ""),
    )  # fmt: skip
    do = VerbColumn(
        "draft or set aside",
        url=lambda row: reverse("reorder:detail", args=[row.pk]) if row.state == "open" else "",
    )  # fmt: skip

    class Meta:
        model = Suggestion
        fields = (
            "item", "packs", "supplier", "channel", "job", "needed_on", "order_by", "why", "state",
            "do",
        )  # fmt: skip
