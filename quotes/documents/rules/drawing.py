"""When two PDFs are the same, and how long a worker may take; no rows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from jobs.kernel.posting import digest_of
from quotes.quoting.rules import QuoteSheet

# Changes whenever the same sheet would be drawn differently.
LAYOUT = 2
STUCK_AFTER = timedelta(minutes=5)
# Pages of one PDF that are drawn as pictures; a quote of more is read in the PDF itself.
MOST_PAGES = 40
# How often pictures that failed are tried without anybody asking, and how many in one sweep.
PICTURE_TRIES = 3
PICTURES_A_SWEEP = 20


@dataclass(frozen=True)
class Picture:
    """One page as a PNG: its number from 1, and its size in points of the picture."""

    number: int
    width: int
    height: int
    data: bytes


def digest_of_sheet(sheet: QuoteSheet) -> str:
    """Return the hash of what a PDF shows, so that the same is drawn once."""
    return digest_of({"layout": LAYOUT, "sheet": sheet.as_dict()})


def file_name(sheet: QuoteSheet) -> str:
    """Return the name under which the PDF is kept and mailed."""
    return f"{sheet.reference or 'Quote draft'} revision {sheet.number}.pdf"
