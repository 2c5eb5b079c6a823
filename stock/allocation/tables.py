"""What jobs still need."""

from __future__ import annotations

import django_tables2 as tables
from django.urls import reverse

from jobs.kernel.tables import FieldBookTable, QuantityColumn, VerbColumn, state_word
from stock.allocation.models import Requirement


class RequirementTable(FieldBookTable):
    """Requirements of won jobs, with what is reserved, issued and short."""

    job = tables.Column(
        verbose_name="Job", accessor="job__reference",
        linkify=lambda record: reverse("work:detail", args=[record.job_id]),
    )  # fmt: skip
    item = tables.Column(verbose_name="Item", order_by=("item__name",))
    colour_group = tables.Column(verbose_name="Colour group")
    phase = tables.Column(verbose_name="For", accessor="get_phase_display", order_by="phase")
    quantity = QuantityColumn(verbose_name="Needed", unit="item__base_unit")
    issued = QuantityColumn(verbose_name="Issued", unit="item__base_unit")
    reserved = QuantityColumn(verbose_name="Reserved", unit="item__base_unit")
    short = QuantityColumn(verbose_name="Short", unit="item__base_unit")
    state = tables.Column(verbose_name="State", empty_values=(), orderable=False)
    do = VerbColumn(
        "reserve", url=lambda row: reverse("allocation:job", args=[row.job_id]),
    )  # fmt: skip

    class Meta:
        model = Requirement
        fields = (
            "job", "item", "colour_group", "phase", "quantity", "issued", "reserved", "short",
            "state", "do",
        )  # fmt: skip

    def render_state(self, record: Requirement) -> object:
        short = getattr(record, "short", 0)
        return state_word("look" if short > 0 else "ready", "short" if short > 0 else "there")

    def value_state(self, record: Requirement) -> str:
        return "short" if getattr(record, "short", 0) > 0 else "there"
