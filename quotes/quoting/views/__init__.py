"""Pages of quotes."""

from quotes.quoting.views.asked import (
    AddAsked,
    AddSmallJob,
    AttachVatDocument,
    ChangeAsked,
    NoteSample,
)
from quotes.quoting.views.files import LinesFile
from quotes.quoting.views.lines import AddLine, ChangeLine, MoveLine, RemoveLine
from quotes.quoting.views.pages import LineWorkings, QuoteList, QuotePage
from quotes.quoting.views.writing import (
    ChangeTerms,
    ChangeWords,
    ChooseReadyPlan,
    PlanPayment,
    Reprice,
    Revise,
    SendQuote,
    StartQuote,
)

__all__ = [
    "AddAsked",
    "AddLine",
    "AddSmallJob",
    "AttachVatDocument",
    "ChangeAsked",
    "ChangeLine",
    "ChangeTerms",
    "ChangeWords",
    "ChooseReadyPlan",
    "LineWorkings",
    "LinesFile",
    "MoveLine",
    "NoteSample",
    "PlanPayment",
    "QuoteList",
    "QuotePage",
    "RemoveLine",
    "Reprice",
    "Revise",
    "SendQuote",
    "StartQuote",
]
