"""The pick list on paper; drawn from a plain sheet, without reading any row."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from django.template.loader import get_template, render_to_string

from stock.movements.queries import PickSheet


def pick_pdf(sheet: PickSheet, *, printed_at: datetime) -> bytes:
    """Return the pick list as PDF (A4)."""
    from weasyprint import CSS, HTML  # noqa: PLC0415 - heavy, and only a paper needs it

    html = render_to_string(
        "stock/movements/pick_list_paper.html", {"sheet": sheet, "printed_at": printed_at}
    )
    template = get_template("stock/movements/pick_list_paper.html")
    css = Path(str(template.origin)).with_name("pick_list_paper.css")  # type: ignore[attr-defined]
    pdf: bytes = HTML(string=html).write_pdf(stylesheets=[CSS(filename=str(css))])
    return pdf
