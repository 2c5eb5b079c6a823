"""Reckoning of quotes without rows: prices, the sheet the customer gets, the words on it."""

from quotes.quoting.rules.drafts import Draft, spread, spread_whole, surface_draft, work_draft
from quotes.quoting.rules.reckoning import Priced, Reckoning, reckon, vat_rate, with_options
from quotes.quoting.rules.sheet import QuoteSheet, SheetLine, gross_of_lines
from quotes.quoting.rules.spares import SpareCosts, spare_costs, unopened_cost
from quotes.quoting.rules.words import EXCLUSIONS, TERMS, vat_words

__all__ = [
    "EXCLUSIONS",
    "TERMS",
    "Draft",
    "Priced",
    "QuoteSheet",
    "Reckoning",
    "SheetLine",
    "SpareCosts",
    "gross_of_lines",
    "reckon",
    "spare_costs",
    "spread",
    "spread_whole",
    "surface_draft",
    "unopened_cost",
    "vat_rate",
    "vat_words",
    "with_options",
    "work_draft",
]  # fmt: skip
