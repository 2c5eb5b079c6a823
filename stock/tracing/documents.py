"""The recall sheet and a surface's trace as files; drawn from plain sheets, reading no row."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from django.template.loader import render_to_string

from jobs.kernel.papers import draw_paper
from jobs.work.models import Job
from stock.ledger.models import Lot
from stock.tracing.queries import JobTrace, Recall

RECALL_HEAD = (
    "where", "lot", "item", "run", "batch A", "batch B", "quantity", "unit", "place", "job",
    "site", "customer", "telephone", "e-mail", "area", "bay", "day", "mixes",
)  # fmt: skip
TRACE_HEAD = (
    "day", "bay", "area", "m2", "blend", "lot", "item", "run", "batch A", "batch B", "quantity",
    "unit", "mixes", "supplier", "order", "came on", "lay in", "read there", "air C", "surface C",
    "humidity %",
)  # fmt: skip


def recall_pdf(recall: Recall, *, printed_at: datetime) -> bytes:
    """Return the recall sheet as PDF (A4)."""
    name = "stock/tracing/documents/recall.html"
    html = render_to_string(name, {"recall": recall, "printed_at": printed_at})
    return draw_paper(html, render_to_string("stock/tracing/documents/recall.css")).data


def recall_rows(recall: Recall) -> Iterator[list[object]]:
    """Yield head and rows of the recall's file; the quantities of a lot add up to what came."""
    yield list(RECALL_HEAD)
    for part in recall.parts:
        for place, quantity in part.lies:
            yield recall_row(place.kind, part.lot, quantity, place=str(place), job=place.job)
        for where, quantity in (
            ("waste", part.account.waste), ("missing at counts", part.account.missed),
        ):  # fmt: skip
            if quantity:
                yield recall_row(where, part.lot, quantity)
    for row in recall.surfaces:
        day = row.bay.lay_day.day.isoformat() if row.bay else ""
        yield recall_row(
            "laid", row.lot, row.quantity, job=row.job, area=row.bay.area_name if row.bay else "",
            bay=str(row.bay or "no mix logged"), day=day, mixes=row.mixes,
        )  # fmt: skip


def recall_row(
    where: str, lot: Lot, quantity: int, *, place: str = "", job: Job | None = None,
    area: str = "", bay: str = "", day: str = "", mixes: str = "",
) -> list[object]:  # fmt: skip
    """Return one row of the recall's file."""
    customer = job.customer if job else None
    return [
        where, lot.code, str(lot.item), lot.run, lot.batch_a, lot.batch_b, quantity,
        lot.item.base_unit, place, job.reference if job else "", job.site.one_line if job else "",
        customer.name if customer else "", customer.phone if customer else "",
        customer.email if customer else "", area, bay, day, mixes,
    ]  # fmt: skip


def trace_rows(trace: JobTrace) -> Iterator[list[object]]:
    """Yield head and rows of a surface's file: one for each lot in each bay."""
    yield list(TRACE_HEAD)
    about = {row.lot.pk: row for row in trace.lots}

    def row_of(
        lot: Lot, quantity: int, mixes: str, where: Sequence[object], day: object
    ) -> list[object]:
        known = about[lot.pk]
        order = known.line.goods_in.order if known.line else None
        lay = known.stays
        return [
            *where, lot.code, str(lot.item), lot.run, lot.batch_a, lot.batch_b, quantity,
            lot.item.base_unit, mixes, str(order.supplier) if order else "",
            str(order) if order else "", lot.received_on.isoformat(),
            "; ".join(str(stay.place) for stay in lay), "; ".join(stay.words for stay in lay),
            *[getattr(day, name, "") for name in ("air_c", "surface_c", "humidity_percent")],
        ]  # fmt: skip

    for day in trace.days:
        for bay in day.bays:
            where = [
                day.day.day.isoformat(), bay.bay.name, bay.bay.area_name, bay.bay.area_m2 or "",
                str(bay.bay.blend or ""),
            ]  # fmt: skip
            for part in bay.parts:
                yield row_of(part.lot, part.quantity, part.mixes, where, day.day)
    for part in trace.unlogged:
        yield row_of(part.lot, part.quantity, "", ["", "no mix logged", "", "", ""], None)
