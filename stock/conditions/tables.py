"""Lists of places, readings, excursions, sensors, files, and kits in vans."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import django_tables2 as tables
from django.urls import reverse

from jobs.kernel.tables import (
    FieldBookTable,
    FigureColumn,
    MomentColumn,
    StateColumn,
    VerbColumn,
    state_word,
)
from stock.catalogue.models import Place
from stock.conditions.models import Excursion, Reading, Sensor
from stock.conditions.queries import state_of


class WatchedTable(FieldBookTable):
    """Bays and vans with their latest reading."""

    name = tables.Column(
        verbose_name="Place", linkify=lambda record: reverse("conditions:place", args=[record.pk])
    )
    kind = tables.Column(verbose_name="Kind", accessor="get_kind_display", order_by="kind")
    latest_c = FigureColumn(verbose_name="Latest", places=1, unit="°C")
    latest_rh = FigureColumn(verbose_name="Humidity", places=0, unit="%")
    latest_at = MomentColumn(verbose_name="Read")
    low = FigureColumn(verbose_name="Not below", places=1, unit="°C")
    high = FigureColumn(verbose_name="Not above", places=1, unit="°C")
    state = StateColumn(verbose_name="State", empty_values=(), orderable=False)
    add = VerbColumn("add a reading", url=lambda row: reverse("conditions:add", args=[row.pk]))

    class Meta:
        model = Place
        fields = ("name", "kind", "latest_c", "latest_rh", "latest_at", "low", "high", "state")

    def __init__(self, *args: Any, now: datetime, **kwargs: Any) -> None:
        self.now = now
        super().__init__(*args, **kwargs)

    def render_state(self, record: Any) -> Any:
        level, word = state_of(record, self.now)
        return state_word(level, word)

    def value_state(self, record: Any) -> str:
        return state_of(record, self.now)[1]


class ReadingTable(FieldBookTable):
    """Readings, the newest first; those left out with the reason."""

    at = MomentColumn(verbose_name="Read")
    place = tables.Column(verbose_name="Place", order_by=("place__name",))
    celsius = FigureColumn(verbose_name="°C", places=2)
    humidity = FigureColumn(verbose_name="%", places=1)
    source = tables.Column(verbose_name="From", accessor="get_source_display", order_by="source")
    by = tables.Column(verbose_name="By", empty_values=(), order_by=("by__name",))
    left_out_reason = tables.Column(verbose_name="Left out because")
    out = VerbColumn(
        "leave out",
        url=lambda row: (
            "" if row.left_out_reason else reverse("conditions:leave_out", args=[row.pk])
        ),
    )

    class Meta:
        model = Reading
        fields = (
            "at", "place", "celsius", "humidity", "source", "by", "left_out_reason", "out",
        )  # fmt: skip

    def render_by(self, record: Reading) -> str:
        return str(record.sensor or record.by or "–")


def answer_word(row: Excursion) -> str:
    """Return how an excursion stands."""
    return "waits for an answer" if row.answered_at is None else row.get_outcome_display()


class ExcursionTable(FieldBookTable):
    """What lay beyond its limits for too long."""

    item = tables.Column(verbose_name="Item", linkify=lambda record: record.get_absolute_url())
    place = tables.Column(verbose_name="Place", order_by=("place__name",))
    side = tables.Column(verbose_name="Limit", order_by=("side", "limit_c"))
    hours = FigureColumn(verbose_name="Hours beyond", places=1)
    hours_allowed = FigureColumn(verbose_name="Allowed", places=0)
    extreme_c = FigureColumn(verbose_name="Farthest", places=1, unit="°C")
    started_at = MomentColumn(verbose_name="From")
    ended_at = MomentColumn(verbose_name="To")
    state = StateColumn(
        verbose_name="State", empty_values=(), order_by=("answered_at",),
        level=lambda row: "stop" if row.answered_at is None else "",
    )  # fmt: skip

    class Meta:
        model = Excursion
        fields = (
            "item", "place", "side", "hours", "hours_allowed", "extreme_c", "started_at",
            "ended_at", "state",
        )  # fmt: skip

    def render_side(self, record: Excursion) -> str:
        return f"{record.get_side_display()} {record.limit_c} °C"

    def render_state(self, record: Excursion) -> Any:
        return state_word("stop" if record.answered_at is None else "", answer_word(record))

    def value_state(self, record: Excursion) -> str:
        return answer_word(record)


class SensorTable(FieldBookTable):
    """Devices that may send."""

    name = tables.Column(verbose_name="Sensor")
    place = tables.Column(verbose_name="Place", order_by=("place__name",))
    token_end = tables.Column(verbose_name="Token ends in", orderable=False)
    last_sent_at = MomentColumn(verbose_name="Last sent")
    state = StateColumn(verbose_name="State", empty_values=(), orderable=False)
    renew = VerbColumn(
        "new token",
        url=lambda row: "" if row.stopped_at else reverse("conditions:renew", args=[row.pk]),
    )
    stop = VerbColumn(
        "stop", url=lambda row: "" if row.stopped_at else reverse("conditions:stop", args=[row.pk])
    )

    class Meta:
        model = Sensor
        fields = ("name", "place", "token_end", "last_sent_at", "state", "renew", "stop")

    def render_state(self, record: Sensor) -> Any:
        return state_word("", "stopped") if record.stopped_at else state_word("ready", "may send")

    def value_state(self, record: Sensor) -> str:
        return "stopped" if record.stopped_at else "may send"
