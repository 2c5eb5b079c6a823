"""The lists of lay days and of differences."""

from __future__ import annotations

from typing import Any

import django_tables2 as tables
from django.urls import reverse

from jobs.kernel.tables import DayColumn, FieldBookTable, FigureColumn, MomentColumn, StateColumn
from stock.laying.models import Discrepancy


def day_url(record: Any) -> str:
    """Return where a booked day leads: its page, or the question whether to open it."""
    if record.lay_day:
        return reverse("laying:day", args=[record.lay_day])
    return reverse("laying:open", args=[record.booking.job_id, record.day.isoformat()])


class LayDayTable(FieldBookTable):
    """Booked lay days: today first, then what comes, then what was."""

    job = tables.Column(
        verbose_name="Where", accessor="booking__job__site__name", linkify=day_url,
        order_by=("booking__job__site__name",),
    )  # fmt: skip
    day = DayColumn(verbose_name="Day")
    reference = tables.Column(verbose_name="Job", accessor="booking__job__reference")
    title = tables.Column(verbose_name="What", accessor="booking__job__title")
    crew = tables.Column(verbose_name="Crew", accessor="crew_name")
    mixes = FigureColumn(verbose_name="Mixes")
    state = StateColumn(
        verbose_name="State",
        level=lambda row: "ready" if row.closed_at else "look" if row.accepted_at else "",
    )  # fmt: skip

    class Meta:
        fields = ("job", "day", "reference", "title", "crew", "mixes", "state")
        sequence = fields


class DiscrepancyTable(FieldBookTable):
    """Differences of lay days."""

    what = tables.Column(verbose_name="What", linkify=True, orderable=False)
    job = tables.Column(verbose_name="Job", accessor="lay_day__job__reference")
    day = DayColumn(verbose_name="Lay day", accessor="lay_day__day")
    lot = tables.Column(verbose_name="Lot", accessor="lot__code")
    found_at = MomentColumn(verbose_name="Found")
    state = StateColumn(
        verbose_name="State",
        orderable=False,
        level=lambda row: "ready" if row.answered_at else "look",
    )  # fmt: skip
    answer = tables.Column(verbose_name="Answer", orderable=False)

    class Meta:
        model = Discrepancy
        fields = ("what", "job", "day", "lot", "found_at", "state", "answer")
        sequence = fields
