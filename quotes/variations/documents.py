"""The PDF of a variation, drawn as the quote's: tagged, with embedded fonts, from a plain sheet."""

from __future__ import annotations

from django.template.loader import render_to_string

from jobs.kernel.papers import Paper
from quotes.documents.documents import draw_html
from quotes.variations.rules import VariationSheet


def html_of(sheet: VariationSheet) -> str:
    """Return the PDF's HTML; what people typed is escaped."""
    return render_to_string("quotes/variations/documents/variation.html", {"sheet": sheet})


def draw(sheet: VariationSheet) -> Paper:
    """Draw the sheet of a variation."""
    return draw_html(html_of(sheet))


def file_name(sheet: VariationSheet) -> str:
    """Return the name under which the PDF is kept and mailed."""
    return f"{sheet.reference} variation {sheet.label}.pdf"
