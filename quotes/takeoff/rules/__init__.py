"""The take-off without rows: sheet, spares, work on site, stone, planning, the day, tools, rain."""

from quotes.takeoff.rules.sheet import (
    Card,
    Document,
    Need,
    Pack,
    Problem,
    Purchase,
    Session,
    Settings,
    TakeOff,
    build_document,
    cautions_for_customer,
    in_words,
    needs_of,
    purchases_of,
    reckon,
    sessions_of,
    two_places,
    whole_packs,
)
from quotes.takeoff.rules.spares import SpareRow, spare_rows

__all__ = [
    "Card", "Document", "Need", "Pack", "Problem", "Purchase", "Session", "Settings", "SpareRow",
    "TakeOff", "build_document", "cautions_for_customer", "in_words", "needs_of", "purchases_of",
    "reckon", "sessions_of", "spare_rows", "two_places", "whole_packs",
]  # fmt: skip
