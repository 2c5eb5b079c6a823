"""The customer's pages, without log-in, and the office's."""

from quotes.acceptance.views.customer import DeclineView, PdfView, QuoteView
from quotes.acceptance.views.office import RecordPaper, SendLinkAgain, WithdrawLinks

__all__ = [
    "DeclineView", "PdfView", "QuoteView", "RecordPaper", "SendLinkAgain", "WithdrawLinks",
]  # fmt: skip
