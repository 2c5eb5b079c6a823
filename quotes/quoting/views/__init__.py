"""Pages of quotes."""

from quotes.quoting.views.lines import AddLine, ChangeLine, MoveLine, RemoveLine
from quotes.quoting.views.pages import LineWorkings, QuoteList, QuotePage
from quotes.quoting.views.writing import (
    ChangeTerms,
    ChangeWords,
    Reprice,
    Revise,
    SendQuote,
    StartQuote,
)

__all__ = [
    "AddLine",
    "ChangeLine",
    "ChangeTerms",
    "ChangeWords",
    "LineWorkings",
    "MoveLine",
    "QuoteList",
    "QuotePage",
    "RemoveLine",
    "Reprice",
    "Revise",
    "SendQuote",
    "StartQuote",
]
