"""The firm's pages of variations, and the customer's, without log-in."""

from quotes.variations.views.customer import AnswerVariation, DeclineVariation, VariationPdf
from quotes.variations.views.days import ReopenDays, SettleDays
from quotes.variations.views.lists import VariationList
from quotes.variations.views.office import (
    AddLine,
    ChangeVariation,
    OpenPdf,
    RemoveLine,
    RemoveVariation,
    Replace,
    SendLinkAgain,
    SendVariation,
    StartVariation,
    VariationPage,
    Withdraw,
)
from quotes.variations.views.recording import RecordDecline, RecordPaper

__all__ = [
    "AddLine", "AnswerVariation", "ChangeVariation", "DeclineVariation", "OpenPdf",
    "RecordDecline", "RecordPaper",
    "RemoveLine", "RemoveVariation", "ReopenDays", "Replace", "SendLinkAgain",
    "SendVariation", "SettleDays", "StartVariation", "VariationList", "VariationPage",
    "VariationPdf", "Withdraw",
]  # fmt: skip
