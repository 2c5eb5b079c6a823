"""What jobs still need."""

from __future__ import annotations

import django_tables2 as tables
from django.urls import reverse

from jobs.kernel.tables import FieldBookTable, QuantityColumn, VerbColumn, state_word
from stock.allocation.models import ProposalLine, Requirement


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
        lambda row: "reserve" if row.short > 0 else "look",
        url=lambda row: reverse("allocation:job", args=[row.job_id]),
    )

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


class ProposalLineTable(FieldBookTable):
    """What a proposal would change, lot by lot, each with its why."""

    job = tables.Column(
        verbose_name="Job", accessor="requirement__job__reference",
        linkify=lambda record: reverse("allocation:job", args=[record.requirement.job_id]),
    )  # fmt: skip
    item = tables.Column(verbose_name="Item", accessor="requirement__item__name")
    colour_group = tables.Column(
        verbose_name="Colour group", accessor="requirement__colour_group"
    )  # fmt: skip
    lot = tables.Column(verbose_name="Lot", accessor="lot__code",
        linkify=lambda record: record.lot.get_absolute_url(),
    )  # fmt: skip
    run = tables.Column(verbose_name="Run", accessor="lot__run")
    before = QuantityColumn(verbose_name="Reserved now", unit="lot__item__base_unit")
    after = QuantityColumn(verbose_name="Proposed", unit="lot__item__base_unit")
    change = tables.Column(verbose_name="Change", orderable=False)
    why = tables.Column(verbose_name="Why", orderable=False)
    bundle = tables.Column(verbose_name="Taken with")

    class Meta:
        model = ProposalLine
        fields = (
            "job", "item", "colour_group", "lot", "run", "before", "after", "change", "why",
            "bundle",
        )  # fmt: skip

    def render_change(self, record: ProposalLine) -> object:
        if record.taken_at:
            return state_word("ready", "taken over")
        return state_word("note" if record.change == "stays" else "look", record.change)

    def value_change(self, record: ProposalLine) -> str:
        return "taken over" if record.taken_at else record.change
