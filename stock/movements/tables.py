"""The list of postings."""

from __future__ import annotations

from datetime import date
from functools import cached_property
from typing import Any

import django_tables2 as tables
from django.urls import reverse

from jobs.kernel.tables import (
    DayColumn,
    FieldBookTable,
    FigureColumn,
    MomentColumn,
    QuantityColumn,
    VerbColumn,
)
from jobs.kernel.templatetags.firm import day, day_year
from stock.allocation.queries import OpenNeed
from stock.ledger.models import Lot, Posting
from stock.movements.models import Tin
from stock.movements.queries import jobs_that_could_take, last_day_of_use, waste_words


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


class DyingTable(FieldBookTable):
    """What is free and dies, the soonest first, with the jobs that could still take it."""

    code = tables.Column(verbose_name="Lot", linkify=True)
    item = tables.Column(verbose_name="Item", order_by="item__name")
    free_now = QuantityColumn(verbose_name="Free", unit="item__base_unit")
    expiry = DayColumn(verbose_name="Use by", year=True)
    last = DayColumn(verbose_name="Last day to lay it", empty_values=(), orderable=False, year=True)
    jobs = tables.Column(verbose_name="Could still go to", empty_values=(), orderable=False)

    class Meta:
        model = Lot
        fields = ("code", "item", "free_now", "expiry", "last", "jobs")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        self.today = today
        super().__init__(*args, **kwargs)

    @cached_property
    def needs(self) -> dict[int, list[OpenNeed]]:
        """The needs that each of the lots shown could serve, read once."""
        rows = self.page.object_list if hasattr(self, "page") else self.rows
        return jobs_that_could_take([row.record for row in rows], self.today)

    def value_last(self, record: Lot) -> date | None:
        return last_day_of_use(record)

    def render_last(self, record: Lot) -> str:
        last = last_day_of_use(record)
        return "past" if last is None or last < self.today else day_year(last)

    def value_jobs(self, record: Lot) -> str:
        found = [
            f"{need.job.reference} {day(need.last_day) if need.last_day else 'not booked'}"
            for need in self.needs.get(record.pk, [])
        ]
        return "; ".join(dict.fromkeys(found))

    def render_jobs(self, record: Lot) -> str:
        return self.value_jobs(record) or "no job"


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
