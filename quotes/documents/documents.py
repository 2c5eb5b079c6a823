"""The PDF of a quote: tagged (PDF/UA-1), with embedded fonts, drawn from a plain sheet, no rows.

Conformance to PDF/UA-1 is what the file says of itself; no validator has looked at it here.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from django.template.loader import render_to_string
from django.utils.safestring import mark_safe

from quotes.quoting.rules import QuoteSheet

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


def html_of(sheet: QuoteSheet) -> str:
    """Return the PDF's HTML; what people typed is escaped, the plan was escaped when drawn."""
    return render_to_string(
        "quotes/documents/quote.html",
        {"sheet": sheet, "plan": mark_safe(sheet.plan)},  # noqa: S308 - jobs.kernel.drawing's SVG
    )


def draw(sheet: QuoteSheet) -> Drawn:
    """Draw the sheet. WeasyPrint is imported here only: it is slow to load."""
    from weasyprint import CSS, HTML  # noqa: PLC0415
    from weasyprint.text.fonts import FontConfiguration  # noqa: PLC0415

    fonts = FontConfiguration()
    fetcher = font_fetcher()
    style = CSS(string=stylesheet(), font_config=fonts, url_fetcher=fetcher)
    document = HTML(string=html_of(sheet), url_fetcher=fetcher).render(
        stylesheets=[style], font_config=fonts
    )
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
    return "\n".join([*faces, render_to_string("quotes/documents/quote.css")])


def font_file(name: str) -> Path | None:
    """Return where a font file lies, None where it is not installed (a system font then serves)."""
    return next((found for folder in FONTS if (found := folder / name).is_file()), None)


def font_fetcher() -> Any:
    """Return a fetcher of the font files only: no word in a quote makes the server ask anywhere."""
    from weasyprint import URLFetcher  # noqa: PLC0415

    allowed = {path.as_uri() for name, _ in FACES if (path := font_file(name))}

    class FontFetcher(URLFetcher):  # type: ignore[misc]
        def fetch(self, url: str, headers: Any = None) -> Any:
            if url not in allowed:
                raise ValueError("A quote holds no addresses to fetch.")
            return super().fetch(url, headers)

    return FontFetcher(allowed_protocols=["file"])
