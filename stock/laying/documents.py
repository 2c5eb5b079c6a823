"""The day sheet on paper; drawn from a plain sheet, without reading any row."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from django.template.loader import get_template, render_to_string

from stock.laying.queries import SHEET, DaySheet


def sheet_pdf(sheet: DaySheet, *, printed_at: datetime) -> bytes:
    """Return the day sheet as PDF (A4)."""
    from weasyprint import CSS, HTML  # noqa: PLC0415 - heavy, and only a paper needs it

    name = "stock/laying/documents/day_sheet.html"
    html = render_to_string(
        name, {"sheet": sheet, "printed_at": printed_at, "defer": SHEET, "blank": range(12)}
    )
    css = Path(str(get_template(name).origin)).with_name("day_sheet.css")  # type: ignore[attr-defined]
    pdf: bytes = HTML(string=html).write_pdf(stylesheets=[CSS(filename=str(css))])
    return pdf
