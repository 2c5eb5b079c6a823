"""The PDF of a quote, drawn from a plain sheet, no rows; and the pages of a PDF as pictures."""

from __future__ import annotations

import io
from contextlib import closing
from threading import Lock

from django.template.loader import render_to_string
from django.utils.safestring import mark_safe
from PIL import Image

from jobs.kernel.papers import Paper, draw_paper, letter_style
from quotes.documents.rules import MOST_PAGES, Picture
from quotes.quoting.rules import QuoteSheet

DOTS_PER_INCH = 110
ONE_AT_A_TIME = Lock()


def html_of(sheet: QuoteSheet) -> str:
    """Return the PDF's HTML; what people typed is escaped, the plan was escaped when drawn."""
    return render_to_string(
        "quotes/documents/quote.html",
        {"sheet": sheet, "plan": mark_safe(sheet.plan)},  # noqa: S308 - jobs.kernel.drawing's SVG
    )


def draw(sheet: QuoteSheet) -> Paper:
    """Draw the sheet of a quote."""
    return draw_html(html_of(sheet))


def draw_html(html: str) -> Paper:
    """Draw a paper of ours that a customer is asked to agree to."""
    return draw_paper(html, stylesheet())


def stylesheet() -> str:
    """Return the rules of such a paper."""
    return letter_style("quotes/documents/quote.css")


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
