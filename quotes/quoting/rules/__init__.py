"""Reckoning of quotes without rows: prices, the sheet the customer gets, the words on it."""

from quotes.quoting.rules.drafts import Draft, spread, spread_whole, surface_draft, work_draft
from quotes.quoting.rules.reckoning import Priced, Reckoning, reckon, vat_rate, with_options
from quotes.quoting.rules.sheet import QuoteSheet, SheetLine, gross_of_lines
from quotes.quoting.rules.words import EXCLUSIONS, TERMS, vat_words

__all__ = [
    "EXCLUSIONS", "TERMS", "Draft", "Priced", "QuoteSheet", "Reckoning", "SheetLine",
    "gross_of_lines", "reckon", "spread", "spread_whole", "surface_draft", "vat_rate", "vat_words",
    "with_options", "work_draft",
]  # fmt: skip
