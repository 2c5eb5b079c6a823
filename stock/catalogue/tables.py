"""Lists of items, blend cards and places."""

from __future__ import annotations

import django_tables2 as tables
from django.urls import reverse

from jobs.kernel.tables import FieldBookTable, FigureColumn, QuantityColumn, VerbColumn
from stock.catalogue.enums import PlaceKind
from stock.catalogue.models import Blend, Item, Place


class ItemTable(FieldBookTable):
    name = tables.Column(verbose_name="Item", linkify=True)
    code = tables.Column(verbose_name="Code")
    kind = tables.Column(verbose_name="Kind", accessor="get_kind_display", order_by="kind")
    pack = tables.Column(verbose_name="Pack", accessor="pack_name", orderable=False)
    pack_quantity = QuantityColumn(verbose_name="A pack holds", unit="base_unit")
    on_hand = QuantityColumn(verbose_name="In the yard", unit="base_unit")
    reserved = QuantityColumn(verbose_name="Reserved", unit="base_unit")
    least = QuantityColumn(verbose_name="Reorder below", unit="base_unit")

    class Meta:
        model = Item
        fields = (
            "name", "code", "kind", "pack", "pack_quantity", "on_hand", "reserved", "least",
        )  # fmt: skip


class BlendTable(FieldBookTable):
    name = tables.Column(verbose_name="Blend", linkify=True)
    kit = tables.Column(verbose_name="Kit", order_by=("kit__name",))
    inside = tables.Column(verbose_name="With", empty_values=(), orderable=False)
    yield_area_m2 = FigureColumn(verbose_name="A mix covers", unit="m²")
    yield_depth_mm = FigureColumn(verbose_name="At", unit="mm")
    compacted_density = FigureColumn(verbose_name="Density", unit="kg/m³")

    class Meta:
        model = Blend
        fields = (
            "name", "kit", "inside", "yield_area_m2", "yield_depth_mm", "compacted_density",
        )  # fmt: skip

    def render_inside(self, record: Blend) -> str:
        return ", ".join(f"{row.bags:g} × {row.item}" for row in record.components.all())


class PlaceTable(FieldBookTable):
    name = tables.Column(
        verbose_name="Place",
        linkify=lambda record: f"{reverse('ledger:list')}?place={record.pk}",
    )
    kind = tables.Column(verbose_name="Kind", accessor="get_kind_display", order_by="kind")
    near = FigureColumn(verbose_name="Order when picking")
    lots = FigureColumn(verbose_name="Lots there")
    count = VerbColumn("count", url=lambda row: reverse("movements:count", args=[row.pk]))
    change = VerbColumn(
        "change",
        url=lambda row: (
            reverse("catalogue:place_edit", args=[row.pk])
            if row.kind in {PlaceKind.BAY, PlaceKind.VAN}
            else ""
        ),
    )

    class Meta:
        model = Place
        fields = ("name", "kind", "near", "lots", "count", "change")
