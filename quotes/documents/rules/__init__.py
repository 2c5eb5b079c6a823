"""When two PDFs are the same, and how two revisions of a quote differ; no rows."""

from quotes.documents.rules.comparing import (
    Comparison,
    Pair,
    Version,
    blends_in_words,
    compare,
    pair_lines,
)
from quotes.documents.rules.drawing import (
    LAYOUT,
    MOST_PAGES,
    PICTURE_TRIES,
    PICTURES_A_SWEEP,
    STUCK_AFTER,
    Picture,
    digest_of_sheet,
    file_name,
)

__all__ = [
    "LAYOUT", "MOST_PAGES", "PICTURES_A_SWEEP", "PICTURE_TRIES", "STUCK_AFTER", "Comparison",
    "Pair", "Picture", "Version", "blends_in_words", "compare", "digest_of_sheet", "file_name",
    "pair_lines",
]  # fmt: skip
