"""The files that valuation offers, registered with the kernel."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from jobs.kernel.clock import london_day, now
from jobs.kernel.registries import Export, register_export
from stock.valuation.forms import DayForm
from stock.valuation.queries import value_at

HEAD = (
    "Item code", "Item", "Place", "Kind of place", "Quantity", "Unit", "Lots",
    "In bays and vans", "At sites, charged to jobs",
)  # fmt: skip


def valuation_rows(
    params: Mapping[str, str],
) -> tuple[Sequence[str], Iterable[Sequence[object]]]:
    """Return head and rows as stock stood at the end of the day `on`, of today by default.

    A day that cannot be used gives no rows: the page says at the field what is wrong with it.
    """
    at = now()
    form = DayForm(params, today=london_day(at))
    if not form.is_valid():
        return HEAD, []
    wanted = form.cleaned_data["where"]
    found = value_at(form.cleaned_data["on"], now=at)
    return HEAD, [
        [
            row.item.code, row.item.name, str(row.place), row.place.get_kind_display(),
            row.quantity, row.item.base_unit, row.lots, row.value, row.with_jobs,
        ]
        for row in found.rows if not wanted or row.place.kind == wanted
    ]  # fmt: skip


VALUATION = register_export(
    Export(
        code="stock_valuation", title="Stock valuation", permission="jobs.see_margin",
        rows=valuation_rows,
    )
)  # fmt: skip
