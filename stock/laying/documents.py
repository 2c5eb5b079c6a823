"""The day sheet on paper; drawn from a plain sheet, without reading any row."""

from __future__ import annotations

from datetime import datetime

from django.template.loader import render_to_string

from jobs.kernel.papers import draw_paper
from stock.laying.queries import SHEET, DaySheet


def sheet_pdf(sheet: DaySheet, *, printed_at: datetime) -> bytes:
    """Return the day sheet as PDF (A4)."""
    name = "stock/laying/documents/day_sheet.html"
    html = render_to_string(
        name, {"sheet": sheet, "printed_at": printed_at, "defer": SHEET, "blank": range(12)}
    )
    return draw_paper(html, render_to_string("stock/laying/documents/day_sheet.css")).data
