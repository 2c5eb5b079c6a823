"""The PDF of a quote: tagged (PDF/UA-1), with embedded fonts, drawn from a plain sheet, no rows.

Conformance to PDF/UA-1 is what the file says of itself; no validator has looked at it here.
"""

from __future__ import annotations

import io
from contextlib import closing
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from threading import Lock
from typing import Any

from django.template.loader import render_to_string
from django.utils.safestring import mark_safe
from PIL import Image

from quotes.documents.rules import MOST_PAGES, Picture
from quotes.quoting.rules import QuoteSheet

FONTS = (
    Path("/usr/share/fonts/truetype/dejavu"),
    Path("/usr/share/fonts/dejavu"),
    Path("/usr/share/fonts/TTF"),
)
FAMILY = "DejaVu Sans"
DOTS_PER_INCH = 110
ONE_AT_A_TIME = Lock()
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
    """Draw the sheet of a quote."""
    return draw_html(html_of(sheet))


def draw_html(html: str) -> Drawn:
    """Draw a paper of ours. WeasyPrint is imported here only: it is slow to load."""
    from weasyprint import CSS, HTML  # noqa: PLC0415
    from weasyprint.text.fonts import FontConfiguration  # noqa: PLC0415

    fonts = FontConfiguration()
    fetcher = font_fetcher()
    style = CSS(string=stylesheet(), font_config=fonts, url_fetcher=fetcher)
    document = HTML(string=html, url_fetcher=fetcher).render(stylesheets=[style], font_config=fonts)
    data = document.write_pdf(pdf_variant="pdf/ua-1", pdf_tags=True)
    return Drawn(data, len(document.pages))


def draw_pictures(data: bytes) -> list[Picture]:
    """Return the pages of a PDF of ours as pictures, the first forty of them.

    pypdfium2 is imported here only. It must not be entered by two threads at once, hence the lock.
    """
    import pypdfium2  # noqa: PLC0415

    found = []
    with ONE_AT_A_TIME, closing(pypdfium2.PdfDocument(data)) as document:
        for place in range(min(len(document), MOST_PAGES)):
            picture = document[place].render(scale=DOTS_PER_INCH / 72).to_pil()
            out = io.BytesIO()
            # Few colours are enough for a paper of ours and make a small file.
            picture.convert("P", palette=Image.Palette.ADAPTIVE, colors=64).save(
                out, "PNG", optimize=True
            )
            found.append(Picture(place + 1, picture.width, picture.height, out.getvalue()))
    return found


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
