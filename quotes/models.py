"""Gathers the rooms' models, so that migrations see every one of them."""

from quotes.acceptance.models import Acceptance, QuoteLink
from quotes.documents.models import Rendering
from quotes.pricebook.models import FirmRates, WorkItem, WorkItemRate
from quotes.quoting.models import Line, Quote, Revision
from quotes.takeoff.models import BlendChoice, PlanningAnswers, TakeOffSettings

__all__ = [
    "Acceptance", "BlendChoice", "FirmRates", "Line", "PlanningAnswers", "Quote", "QuoteLink",
    "Rendering", "Revision", "TakeOffSettings", "WorkItem", "WorkItemRate",
]  # fmt: skip
