"""The PDF of an invoice: tagged (PDF/UA-1), embedded fonts, drawn from a plain sheet, no rows.

Conformance to PDF/UA-1 is what the file says of itself; no validator has looked at it here.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from django.template.loader import render_to_string

from jobs.billing.rules import InvoiceSheet

FONTS = (
    Path("/usr/share/fonts/truetype/dejavu"),
    Path("/usr/share/fonts/dejavu"),
    Path("/usr/share/fonts/TTF"),
)
FAMILY = "DejaVu Sans"
FACES = (("DejaVuSans.ttf", 400), ("DejaVuSans-Bold.ttf", 700))


@dataclass(frozen=True)
class Drawn:
    """A drawn PDF and how many pages it has."""

    data: bytes
    pages: int


def html_of(sheet: InvoiceSheet) -> str:
    """Return the PDF's HTML; what people typed is escaped."""
    return render_to_string("jobs/billing/documents/invoice.html", {"sheet": sheet})


def draw(sheet: InvoiceSheet) -> Drawn:
    """Draw an invoice. WeasyPrint is imported here only: it is slow to load."""
    from weasyprint import CSS, HTML  # noqa: PLC0415
    from weasyprint.text.fonts import FontConfiguration  # noqa: PLC0415

    fonts, fetcher = FontConfiguration(), font_fetcher()
    style = CSS(string=stylesheet(), font_config=fonts, url_fetcher=fetcher)
    html = HTML(string=html_of(sheet), url_fetcher=fetcher)
    document = html.render(stylesheets=[style], font_config=fonts)
    data = document.write_pdf(pdf_variant="pdf/ua-1", pdf_tags=True)
    return Drawn(data, len(document.pages))


@cache
def stylesheet() -> str:
    """Return the PDF's stylesheet with the font files that this machine has."""
    faces = [
        f'@font-face {{ font-family: "{FAMILY}"; font-weight: {weight}; '
        f"src: url({path.as_uri()}) }}"
        for name, weight in FACES
        if (path := font_file(name))
    ]
    return "\n".join([*faces, render_to_string("jobs/billing/documents/invoice.css")])


def font_file(name: str) -> Path | None:
    """Return where a font file lies, None where it is not installed (a system font then serves)."""
    return next((found for folder in FONTS if (found := folder / name).is_file()), None)


def font_fetcher() -> Any:
    """Return a fetcher of the font files only: no word on an invoice makes the server ask."""
    from weasyprint import URLFetcher  # noqa: PLC0415

    allowed = {path.as_uri() for name, _ in FACES if (path := font_file(name))}

    class FontFetcher(URLFetcher):  # type: ignore[misc]
        def fetch(self, url: str, headers: Any = None) -> Any:
            if url not in allowed:
                raise ValueError("An invoice holds no addresses to fetch.")
            return super().fetch(url, headers)

    return FontFetcher(allowed_protocols=["file"])
