"""The list of postings."""

from __future__ import annotations

import django_tables2 as tables
from django.urls import reverse

from jobs.kernel.tables import DayColumn, FieldBookTable, FigureColumn, MomentColumn, VerbColumn
from stock.ledger.models import Posting
from stock.movements.models import Tin
from stock.movements.queries import waste_words


class PostingTable(FieldBookTable):
    """What was booked, newest first."""

    at = MomentColumn(
        verbose_name="When",
        linkify=lambda record: reverse("movements:detail", args=[record.pk]),
    )
    kind = tables.Column(verbose_name="What", accessor="get_kind_display", order_by="kind")
    day = DayColumn(verbose_name="For the day")
    job = tables.Column(verbose_name="Job", accessor="job__reference")
    reason = tables.Column(verbose_name="Why")
    by = tables.Column(verbose_name="By", order_by="by__name")

    class Meta:
        model = Posting
        fields = ("at", "kind", "day", "job", "reason", "by")


class WasteTable(FieldBookTable):
    """Waste that stands, newest first, with the note with which it left."""

    at = MomentColumn(
        verbose_name="When",
        linkify=lambda record: reverse("movements:detail", args=[record.pk]),
    )
    what = tables.Column(verbose_name="What", empty_values=(), orderable=False)
    places = tables.Column(verbose_name="From", empty_values=(), orderable=False)
    job = tables.Column(verbose_name="Job", accessor="job__reference")
    reason = tables.Column(verbose_name="Why")
    note = tables.Column(verbose_name="Note", accessor="waste_line__note", linkify=True)
    carrier = tables.Column(verbose_name="Carrier", accessor="waste_line__note__carrier")
    registration = tables.Column(
        verbose_name="Registration", accessor="waste_line__note__registration"
    )

    class Meta:
        model = Posting
        fields = ("at", "what", "places", "job", "reason", "note", "carrier", "registration")

    def render_what(self, record: Posting) -> str:
        return waste_words(record)

    def render_places(self, record: Posting) -> str:
        return ", ".join(dict.fromkeys(str(row.from_place) for row in record.movements.all()))


class TinTable(FieldBookTable):
    """Tins without their other part."""

    item = tables.Column(verbose_name="Kit", linkify=True, order_by="item__name")
    part = tables.Column(verbose_name="Part")
    batch = tables.Column(verbose_name="Batch")
    expiry = DayColumn(verbose_name="Use by")
    left = FigureColumn(verbose_name="Tins")
    place = tables.Column(verbose_name="Lying in", order_by="place__name")
    lot = tables.Column(verbose_name="From lot", linkify=True)
    why = tables.Column(verbose_name="Why alone")
    at = MomentColumn(verbose_name="Since")
    pair = VerbColumn(
        "pair", url=lambda row: reverse("movements:tin_pair", args=[row.pk]) if row.left else ""
    )
    scrap = VerbColumn(
        "scrap", url=lambda row: reverse("movements:tin_scrap", args=[row.pk]) if row.left else ""
    )

    class Meta:
        model = Tin
        fields = (
            "item", "part", "batch", "expiry", "left", "place", "lot", "why", "at", "pair", "scrap",
        )  # fmt: skip
