"""Job costing as files: one shape for page, CSV, XLSX and JSON; the totals are the same figures."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from jobs.costing.rules import CategoryCost, JobCost
from jobs.kernel.commands import as_json
from jobs.kernel.lists import csv_file, safe_cell, xlsx_file

HEAD = ("job", "title", "category", "budget", "committed", "actual", "expected", "difference")


def rows_of(costs: Sequence[JobCost], totals: Sequence[CategoryCost]) -> Iterator[list[Any]]:
    """Yield head, a row for each job and category with anything in it, and the totals."""
    yield list(HEAD)
    for cost in costs:
        for row in cost.categories:
            if row.budget or row.committed or row.actual:
                yield [safe_cell(cost.reference), safe_cell(cost.title), row.label, *_figures(row)]
    for row in totals:
        yield ["all jobs", "", row.label, *_figures(row)]


def _figures(row: CategoryCost) -> list[Decimal]:
    return [row.budget, row.committed, row.actual, row.expected, row.difference]


def as_file(
    kind: str, costs: Sequence[JobCost], totals: Sequence[CategoryCost]
) -> tuple[bytes, str]:
    """Return the file's bytes and content type; `kind` is 'csv' or 'xlsx'."""
    writer = {"csv": csv_file, "xlsx": xlsx_file}[kind]
    return writer(rows_of(costs, totals))


def as_document(
    costs: Sequence[JobCost],
    totals: Sequence[CategoryCost],
    *,
    first: date | None,
    last: date | None,
) -> str:
    """Return the JSON document of the costing command; money as text with its pence."""
    answer = {
        "from": first.isoformat() if first else None,
        "to": last.isoformat() if last else None,
        "jobs": [
            {"job": cost.reference, "categories": [_entry(row) for row in cost.categories]}
            for cost in costs
        ],
        "totals": {
            name: as_json(getattr(totals[-1], name)) for name in ("budget", "committed", "actual")
        },
    }
    return json.dumps(answer, ensure_ascii=False, indent=2)


def _entry(row: CategoryCost) -> dict[str, str]:
    return {
        "category": row.category,
        "budget": as_json(row.budget),
        "committed": as_json(row.committed),
        "actual": as_json(row.actual),
    }
