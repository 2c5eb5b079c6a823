"""Quotes over the year: what was sent, won and lost, drawn, listed and taken away as files."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse

from jobs.kernel.charts import Bar, draw_bars
from jobs.kernel.clock import london_day
from jobs.kernel.lists import EXPORTERS, RoomListView
from jobs.kernel.views import RoomPermissionMixin
from quotes.results import queries
from quotes.results.documents import rows_of
from quotes.results.filters import ResultFilter
from quotes.results.rules import (
    GROUPINGS,
    Result,
    Tally,
    losses,
    month_in_words,
    tallies,
    tally,
)
from quotes.results.tables import ResultTable

SEE = ("jobs.write_quote", "jobs.send_quote", "jobs.see_margin")
MARGIN = "jobs.see_margin"
MONTHS_DRAWN = 24


class ResultsPage(RoomListView):
    """The sums of the quotes that the filter leaves, and those quotes one by one."""

    permission = SEE
    title = "Quotes over the year"
    intro = "each quote once, by the day it was first sent; values before VAT"
    template_name = "quotes/results/list.html"
    fragment_name = "quotes/results/list.html#results"
    table_class = ResultTable
    filterset_class = ResultFilter
    search_fields = (
        "quote__reference", "quote__job__reference", "quote__job__title",
        "quote__job__customer__name",
    )  # fmt: skip
    search_hint = "reference, job or customer"
    column_permissions = {"margin": MARGIN}
    empty = "No quote was sent yet."

    def get_rows(self) -> QuerySet[Any]:
        return queries.sent_quotes(london_day(self.request.now))

    def build_table(self, rows: QuerySet[Any]) -> Any:
        self.results = queries.results_of(rows)
        return super().build_table(rows)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        sees_margin = self.request.user.has_perm(MARGIN)
        return super().get_context_data(
            whole=tally("all", self.results),
            groupings=[(name, shown(name, tallies(self.results, key))) for name, key in GROUPINGS],
            losses=losses(self.results), drawn=drawn(self.results), sees_margin=sees_margin,
            **kwargs,
        )  # fmt: skip


def shown(grouping: str, rows: list[Tally]) -> list[Tally]:
    """Return a grouping's rows as the page names them; files keep months as they sort."""
    if grouping != "month":
        return rows
    return [replace(row, label=month_in_words(row.label)) for row in rows]


def drawn(results: Sequence[Result]) -> list[tuple[Any, str]]:
    """Return the charts with their captions: won of what was sent, a month each; what was lost."""
    months = shown("month", tallies(results, GROUPINGS[0][1]))[-MONTHS_DRAWN:]
    if not months:
        return []
    by_value = [Bar(m.label, float(m.value["won"]), float(m.net)) for m in months]
    by_number = [Bar(m.label, m.count["won"], m.sent) for m in months]
    reasons = [Bar(row.label, float(row.net)) for row in losses(results)]
    charts = [
        ("Value won of the value sent, by month", by_value, "£"),
        ("Quotes won of those sent, by month", by_number, ""),
    ]
    if reasons:
        charts.append(("Value lost, by reason", reasons, "£"))
    return [(draw_bars(bars, unit=unit, title=title), title) for title, bars, unit in charts]


class ResultsFile(RoomPermissionMixin):
    """The sums as CSV or XLSX, for the same filter as the page."""

    permission = SEE

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        day = london_day(self.request.now)
        chosen = ResultFilter(
            request.GET, queryset=queries.sent_quotes(day), request=self.request
        )  # fmt: skip
        rows = chosen.qs if chosen.is_valid() else []
        found = rows_of(queries.results_of(rows), sees_margin=self.request.user.has_perm(MARGIN))
        content, kind = EXPORTERS[kwargs["kind"]](found)
        name = f"quotes-over-the-year-{day:%Y-%m-%d}.{kwargs['kind']}"
        return HttpResponse(
            content, content_type=kind,
            headers={"Content-Disposition": f'attachment; filename="{name}"'},
        )  # fmt: skip
