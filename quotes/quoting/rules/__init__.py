"""Reckoning of quotes without rows: prices, the sheet the customer gets, the words on it."""

from quotes.quoting.rules.asked import (
    daywork_draft,
    figure,
    hire_draft,
    muck_draft,
    small_draft,
    solid_of,
    travel_draft,
)
from quotes.quoting.rules.days import DaysOnSite, days_on_site, pace_a_day
from quotes.quoting.rules.drafts import (
    Draft,
    spread,
    spread_whole,
    surface_draft,
    wants_of,
    work_draft,
)
from quotes.quoting.rules.reckoning import Priced, Reckoning, reckon, vat_rate, with_options
from quotes.quoting.rules.samples import sample_differs, sample_warning, sample_words
from quotes.quoting.rules.sheet import QuoteSheet, SheetLine, gross_of_lines
from quotes.quoting.rules.spares import SpareCosts, spare_costs, unopened_cost
from quotes.quoting.rules.words import EXCLUSIONS, TERMS, discount_words, vat_words

__all__ = [
    "EXCLUSIONS",
    "TERMS",
    "DaysOnSite",
    "Draft",
    "Priced",
    "QuoteSheet",
    "Reckoning",
    "SheetLine",
    "SpareCosts",
    "days_on_site",
    "daywork_draft",
    "discount_words",
    "figure",
    "gross_of_lines",
    "hire_draft",
    "muck_draft",
    "pace_a_day",
    "reckon",
    "sample_differs",
    "sample_warning",
    "sample_words",
    "small_draft",
    "solid_of",
    "spare_costs",
    "spread",
    "spread_whole",
    "surface_draft",
    "travel_draft",
    "unopened_cost",
    "vat_rate",
    "vat_words",
    "wants_of",
    "with_options",
    "work_draft",
]
