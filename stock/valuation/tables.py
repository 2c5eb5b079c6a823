"""Tables of worth, turns and dead stock."""

from __future__ import annotations

import django_tables2 as tables

from jobs.kernel.tables import (
    DayColumn,
    FieldBookTable,
    FigureColumn,
    MoneyColumn,
    QuantityColumn,
    StateColumn,
)


class ValueTable(FieldBookTable):
    """Worth by item and place."""

    item = tables.Column(verbose_name="Item", linkify=True, footer="in all", order_by="item__name")
    place = tables.Column(verbose_name="Place", order_by="place__name")
    kind = tables.Column(verbose_name="Kind of place", accessor="place__get_kind_display")
    quantity = QuantityColumn(verbose_name="Quantity", unit="item__base_unit")
    packs = tables.Column(verbose_name="Packs", orderable=False)
    lots = FigureColumn(verbose_name="Lots")
    value = MoneyColumn(verbose_name="In bays and vans", total=True)
    with_jobs = MoneyColumn(verbose_name="At sites, charged to jobs", total=True)

    class Meta:
        fields = ("item", "place", "kind", "quantity", "packs", "lots", "value", "with_jobs")


class TurnTable(FieldBookTable):
    """Turns by item."""

    item = tables.Column(verbose_name="Item", linkify=True, footer="in all", order_by="item__name")
    issued = MoneyColumn(verbose_name="Issued", accessor="turn__issued", total=True)
    start = MoneyColumn(verbose_name="Worth before", accessor="turn__start", total=True)
    mean = MoneyColumn(verbose_name="Mean worth", accessor="turn__mean")
    end = MoneyColumn(verbose_name="Worth after", accessor="turn__end", total=True)
    turns = FigureColumn(verbose_name="Turns", accessor="turn__turns", places=2)
    days_held = FigureColumn(verbose_name="Lasts", accessor="turn__days_held", unit="days")

    class Meta:
        fields = ("item", "issued", "start", "mean", "end", "turns", "days_held")


class DeadTable(FieldBookTable):
    """Lots that nothing uses."""

    lot = tables.Column(verbose_name="Lot", linkify=True, footer="in all", order_by="lot__code")
    item = tables.Column(verbose_name="Item", accessor="lot__item", order_by="lot__item__name")
    packs = tables.Column(verbose_name="How much", orderable=False)
    last_used = DayColumn(verbose_name="Last used")
    idle_days = FigureColumn(verbose_name="Idle", unit="days")
    expiry = DayColumn(verbose_name="Use by")
    dies = StateColumn(
        verbose_name="Dies", accessor="state__1", level="state__0", order_by="days_left"
    )
    value = MoneyColumn(verbose_name="Worth", total=True)

    class Meta:
        fields = ("lot", "item", "packs", "last_used", "idle_days", "expiry", "dies", "value")
