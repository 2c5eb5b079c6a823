"""Lists of costing."""

from __future__ import annotations

from typing import Any

import django_tables2 as tables
from django.urls import reverse

from jobs.costing.models import Hours
from jobs.kernel.tables import DayColumn, FieldBookTable, FigureColumn, MoneyColumn, VerbColumn
from jobs.work.models import Job


class CostingTable(FieldBookTable):
    """Jobs with their sums; the figures are annotated by the list's queryset."""

    reference = tables.Column(verbose_name="Job", footer="in all")
    title = tables.Column(verbose_name="What")
    stage = tables.Column(verbose_name="Stage")
    budget = MoneyColumn(verbose_name="Budget", total=True)
    committed = MoneyColumn(verbose_name="On order", accessor="pk", orderable=False)
    actual = MoneyColumn(verbose_name="Actual", total=True)
    open = VerbColumn("open", url=lambda row: reverse("costing:job", args=[row.pk]))

    class Meta:
        model = Job
        fields = ("reference", "title", "stage", "budget", "committed", "actual", "open")

    def __init__(self, *args: Any, committed: dict[int, Any] | None = None, **kwargs: Any) -> None:
        self.on_order = committed or {}
        super().__init__(*args, **kwargs)

    def render_committed(self, value: int) -> str:
        return str(self.columns["committed"].column.write(self.on_order.get(value, 0)))

    def value_committed(self, value: int) -> Any:
        return self.on_order.get(value, 0)


class HoursTable(FieldBookTable):
    day = DayColumn(verbose_name="Day")
    person = tables.Column(verbose_name="Who", order_by=("person__name",))
    job = tables.Column(verbose_name="Job", order_by=("job__reference",))
    kind = tables.Column(verbose_name="What for")
    hours = FigureColumn(verbose_name="h", accessor="minutes", places=2)
    note = tables.Column(verbose_name="Note", orderable=False)
    back = VerbColumn("take back", url=lambda row: reverse("costing:withdraw", args=[row.pk]))

    class Meta:
        model = Hours
        fields = ("day", "person", "job", "kind", "hours", "note", "back")

    def render_hours(self, value: int) -> str:
        return str(self.columns["hours"].column.write(value / 60))

    def value_hours(self, value: int) -> float:
        return round(value / 60, 2)
