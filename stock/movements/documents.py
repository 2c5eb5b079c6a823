"""The pick list on paper; drawn from a plain sheet, without reading any row."""

from __future__ import annotations

from datetime import datetime

from django.template.loader import render_to_string

from jobs.kernel.papers import draw_paper
from stock.movements.queries import PickSheet


def pick_pdf(sheet: PickSheet, *, printed_at: datetime) -> bytes:
    """Return the pick list as PDF (A4)."""
    html = render_to_string(
        "stock/movements/pick_list_paper.html", {"sheet": sheet, "printed_at": printed_at}
    )
    return draw_paper(html, render_to_string("stock/movements/pick_list_paper.css")).data
