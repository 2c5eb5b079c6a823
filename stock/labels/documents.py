"""Labels as PDF with QR codes (ISO/IEC 18004) drawn as vectors, from plain values, no rows."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from jobs.kernel.papers import draw_paper
from stock.labels.rules import Layout, LotLabel, PlaceLabel, Spot, lay_out

QUIET_ZONE = 4  # modules of white around the code, as the standard asks


def qr_svg(text: str) -> SafeString:
    """Return a QR code as SVG that fills its box; never a Micro QR, which phones may not read."""
    import segno  # noqa: PLC0415 - only a paper needs it

    code = segno.make_qr(text, error="m")
    return mark_safe(  # noqa: S308 - segno's own drawing
        code.svg_inline(border=QUIET_ZONE, omitsize=True)
    )


def draw_labels(
    labels: Sequence[LotLabel | PlaceLabel], layout: Layout, *, start: int = 1
) -> bytes:
    """Return the labels as PDF at their true size; the first page begins at position `start`."""
    pages = lay_out(labels, layout, start=start)
    kind = "lot" if labels and isinstance(labels[0], LotLabel) else "place"
    html = render_to_string(
        "stock/labels/documents/labels.html",
        {"pages": [[drawn(spot) for spot in page] for page in pages], "kind": kind},
    )
    css = render_to_string("stock/labels/documents/labels.css", {"layout": layout})
    places = "\n".join(place_rules(pages))
    return draw_paper(html, f"{css}\n{places}", tagged=False).data


def drawn(spot: Spot) -> dict[str, Any]:
    """Return a label with its code drawn."""
    return {"label": spot.label, "qr": qr_svg(spot.label.url)}


def place_rules(pages: Sequence[Sequence[Spot]]) -> list[str]:
    """Return where each label of each page lies, as style rules."""
    return [
        f"#l{page}-{number} {{ left: {spot.x:g}mm; top: {spot.y:g}mm }}"
        for page, spots in enumerate(pages, 1)
        for number, spot in enumerate(spots, 1)
    ]
