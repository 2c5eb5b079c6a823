"""Reads of quotes: what a survey drafts, what a revision comes to, and the sheet of it."""

from quotes.quoting.queries.drafting import (
    Drafted,
    draft_asked,
    draft_survey,
    draft_work,
    inputs_digest,
    measured_items,
    measured_quantity,
    pace_of_survey,
    usual_items,
)
from quotes.quoting.queries.money import (
    cautions_on_page,
    days_of,
    direct_on,
    gaps_of,
    has_changed,
    open_questions,
    price_rise,
    reckon_lines,
    told_to_customer,
)
from quotes.quoting.queries.sheets import (
    build_sheet,
    costs_snapshot,
    sample_of,
    sample_on_page,
    sheet_of,
    stages_on_page,
)
from quotes.quoting.queries.spares import SpareSheet, mix_cost, spare_sheet

__all__ = [
    "Drafted",
    "SpareSheet",
    "build_sheet",
    "cautions_on_page",
    "costs_snapshot",
    "days_of",
    "direct_on",
    "draft_asked",
    "draft_survey",
    "draft_work",
    "gaps_of",
    "has_changed",
    "inputs_digest",
    "measured_items",
    "measured_quantity",
    "mix_cost",
    "open_questions",
    "pace_of_survey",
    "price_rise",
    "reckon_lines",
    "sample_of",
    "sample_on_page",
    "sheet_of",
    "spare_sheet",
    "stages_on_page",
    "told_to_customer",
    "usual_items",
]
