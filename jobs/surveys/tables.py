"""The survey diary."""

from __future__ import annotations

import django_tables2 as tables

from jobs.kernel.tables import FieldBookTable, FigureColumn, MomentColumn, StateColumn
from jobs.surveys.models import Survey


class SurveyTable(FieldBookTable):
    visited_at = MomentColumn(linkify=True, verbose_name="Visit")
    kind = tables.Column(accessor="get_kind_display", order_by="kind", verbose_name="Kind")
    job = tables.Column(linkify=True, order_by="job__reference")
    customer = tables.Column(accessor="job__customer", order_by="job__customer__name")
    site = tables.Column(accessor="job__site__one_line", order_by="job__site__address")
    surveyor = tables.Column(order_by="surveyor__name")
    base_kind = tables.Column(
        accessor="get_base_kind_display", order_by="base_kind", verbose_name="Base"
    )
    areas_all = FigureColumn(verbose_name="Areas")
    state = StateColumn(
        order_by="finished_at",
        level=lambda survey: "ready" if survey.finished_at else "look",
    )  # fmt: skip

    class Meta:
        model = Survey
        fields = ("visited_at", "kind", "job", "customer", "site", "surveyor", "base_kind",
                  "areas_all", "state")  # fmt: skip
