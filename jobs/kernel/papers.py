"""Papers as PDF: tagged (PDF/UA-1), fonts embedded, drawn from HTML of ours that fetches nothing.

Conformance to PDF/UA-1 is what the file says of itself; no validator has looked at it here.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from django.template.loader import render_to_string

FONTS = (
    Path("/usr/share/fonts/truetype/dejavu"),
    Path("/usr/share/fonts/dejavu"),
    Path("/usr/share/fonts/TTF"),
)
FAMILY = "DejaVu Sans"
FACES = (("DejaVuSans.ttf", 400), ("DejaVuSans-Bold.ttf", 700))
LETTER = "paper.css"  # sheet, margins, type and tables of the papers that go to customers


@dataclass(frozen=True)
class Paper:
    """A drawn PDF and how many pages it has."""

    data: bytes
    pages: int


def draw_paper(html: str, style: str = "", *, tagged: bool = True) -> Paper:
    """Return the HTML drawn as PDF with the style's rules; fonts of ours come before them.

    `tagged=False` is for papers that only a scanner reads. WeasyPrint is imported here only: it is
    slow to load.
    """
    from weasyprint import CSS, HTML  # noqa: PLC0415
    from weasyprint.text.fonts import FontConfiguration  # noqa: PLC0415

    fonts, fetcher = FontConfiguration(), font_fetcher()
    sheet = CSS(string=f"{faces()}\n{style}", font_config=fonts, url_fetcher=fetcher)
    document = HTML(string=html, url_fetcher=fetcher).render(stylesheets=[sheet], font_config=fonts)
    variant: dict[str, Any] = {"pdf_variant": "pdf/ua-1", "pdf_tags": True} if tagged else {}
    return Paper(document.write_pdf(**variant), len(document.pages))


def letter_style(*further: str) -> str:
    """Return the rules of a letter, and those of further stylesheets among the templates."""
    return "\n".join(render_to_string(name) for name in (LETTER, *further))


@cache
def faces() -> str:
    """Return the style rules that name the font files which this machine has."""
    return "\n".join(
        f'@font-face {{ font-family: "{FAMILY}"; font-weight: {weight}; '
        f"src: url({path.as_uri()}) }}"
        for name, weight in FACES
        if (path := font_file(name))
    )


def font_file(name: str) -> Path | None:
    """Return where a font file lies, None where it is not installed (a system font then serves)."""
    return next((found for folder in FONTS if (found := folder / name).is_file()), None)


def font_fetcher() -> Any:
    """Return a fetcher of the font files only: no word on a paper makes the server ask anywhere."""
    from weasyprint import URLFetcher  # noqa: PLC0415

    allowed = {path.as_uri() for name, _ in FACES if (path := font_file(name))}

    class FontFetcher(URLFetcher):  # type: ignore[misc]
        def fetch(self, url: str, headers: Any = None) -> Any:
            if url not in allowed:
                raise ValueError("A paper holds no addresses to fetch.")
            return super().fetch(url, headers)

    return FontFetcher(allowed_protocols=["file"])
