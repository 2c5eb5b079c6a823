"""Lists to trace from: lots with their batches, and surfaces."""

from __future__ import annotations

import django_tables2 as tables
from django.urls import reverse

from jobs.kernel.tables import DayColumn, FieldBookTable, FigureColumn, QuantityColumn, VerbColumn
from stock.laying.models import LayBay
from stock.ledger.models import Lot


class TraceTable(FieldBookTable):
    """Lots with what their labels say, the latest first."""

    code = tables.Column(
        verbose_name="Lot", linkify=lambda record: reverse("tracing:lot", args=[record.pk, "lot"])
    )
    item = tables.Column(verbose_name="Item", order_by=("item__name",))
    run = tables.Column(verbose_name="Run")
    batch_a = tables.Column(verbose_name="Part A")
    batch_b = tables.Column(verbose_name="Part B")
    supplier_name = tables.Column(verbose_name="From")
    received_on = DayColumn(verbose_name="Came on")
    received = QuantityColumn(verbose_name="Came in", unit="item__base_unit")
    job_count = FigureColumn(verbose_name="Jobs with it")
    step = VerbColumn(
        "recall sheet", url=lambda row: reverse("tracing:recall", args=[row.pk, broadest(row)])
    )

    class Meta:
        model = Lot
        fields = (
            "code", "item", "run", "batch_a", "batch_b", "supplier_name", "received_on",
            "received", "job_count", "step",
        )  # fmt: skip


def broadest(lot: Lot) -> str:
    """Return by what a recall of this lot would go: its run, or the lot with both its batches."""
    return "run" if lot.run else "lot"


class SurfaceTable(FieldBookTable):
    """Bays that were laid, the latest day first."""

    job = tables.Column(
        verbose_name="Job", accessor="lay_day__job__reference",
        linkify=lambda record: reverse("tracing:job", args=[record.lay_day.job_id]),
    )  # fmt: skip
    site = tables.Column(
        verbose_name="Site", accessor="lay_day__job__site", order_by="lay_day__job__site__name"
    )
    customer = tables.Column(
        verbose_name="Customer", accessor="lay_day__job__customer",
        order_by="lay_day__job__customer__name",
    )  # fmt: skip
    day = DayColumn(verbose_name="Laid on", accessor="lay_day__day")
    area_name = tables.Column(verbose_name="Area")
    name = tables.Column(verbose_name="Bay")
    blend = tables.Column(verbose_name="Blend", order_by="blend__name")
    area_m2 = FigureColumn(verbose_name="m²", places=2)
    mix_count = FigureColumn(verbose_name="Mixes")

    class Meta:
        model = LayBay
        fields = (
            "job", "site", "customer", "day", "area_name", "name", "blend", "area_m2", "mix_count",
        )  # fmt: skip
