"""The list of jobs."""

from __future__ import annotations

import django_tables2 as tables

from jobs.kernel.tables import DayColumn, FieldBookTable, StateColumn
from jobs.work.models import Job

LEVELS = {"lost": "", "cancelled": "", "complete": "ready", "in_guarantee": "ready"}


class JobTable(FieldBookTable):
    reference = tables.Column(linkify=True)
    title = tables.Column()
    customer = tables.Column(linkify=True, order_by="customer__name")
    site = tables.Column(linkify=True, order_by="site__name")
    stage = StateColumn(
        accessor="get_stage_display", order_by="stage",
        level=lambda job: LEVELS.get(job.stage, ""),
    )  # fmt: skip
    stage_since = DayColumn(verbose_name="Since")
    source = tables.Column(accessor="get_source_display", order_by="source")
    opened_at = DayColumn(verbose_name="Opened")

    class Meta:
        model = Job
        fields = ("reference", "title", "customer", "site", "stage", "stage_since", "source",
                  "opened_at")  # fmt: skip
