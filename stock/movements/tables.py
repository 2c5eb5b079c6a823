"""The list of postings."""

from __future__ import annotations

import django_tables2 as tables
from django.urls import reverse

from jobs.kernel.tables import DayColumn, FieldBookTable, MomentColumn
from stock.ledger.models import Posting


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
