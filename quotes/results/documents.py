"""The sums as a file: each grouping with its groups and their total."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from jobs.kernel.lists import safe_cell
from quotes.results.rules import GROUPINGS, Result, Tally, losses, tallies, tally

HEAD = (
    "by", "group", "sent", "won", "lost", "not answered yet", "never answered",
    "value sent", "value won", "value lost", "hit rate %", "hit rate by value %",
)  # fmt: skip
MARGIN_HEAD = ("margin quoted", "margin quoted %")


def rows_of(results: Sequence[Result], *, sees_margin: bool) -> Iterator[list[Any]]:
    """Yield the head, each group of each grouping with its total, and the losses by reason."""
    yield [*HEAD, *(MARGIN_HEAD if sees_margin else ())]
    for name, key in GROUPINGS:
        for row in tallies(results, key):
            yield _row(name, row, sees_margin)
        yield _row(name, tally("all", results), sees_margin)
    for row in losses(results):
        yield _row("why lost", row, sees_margin)


def _row(by: str, row: Tally, sees_margin: bool) -> list[Any]:
    figures = [
        by, safe_cell(row.label), row.sent, *row.count.values(),
        row.net, row.value["won"], row.value["lost"],
        row.hit_rate, row.value_rate,
    ]  # fmt: skip
    return [*figures, row.margin, row.margin_share] if sees_margin else figures
