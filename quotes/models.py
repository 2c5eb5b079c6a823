"""Gathers the rooms' models, so that migrations see every one of them."""

from quotes.acceptance.models import Acceptance, QuoteLink
from quotes.chasing.models import VariationWatch, Watch
from quotes.documents.models import PagePicture, Rendering
from quotes.pricebook.models import (
    FirmRates,
    Ground,
    GroundRate,
    Plant,
    PlantRate,
    SmallJob,
    SmallJobRate,
    WorkItem,
    WorkItemRate,
    WorkItemStock,
)
from quotes.quoting.models import Line, Quote, Revision
from quotes.takeoff.models import BlendChoice, PlanningAnswers, TakeOffSettings
from quotes.variations.models import ChangeLine, Variation, VariationAnswer, VariationLink

__all__ = [
    "Acceptance",
    "BlendChoice",
    "ChangeLine",
    "FirmRates",
    "Ground",
    "GroundRate",
    "Line",
    "PagePicture",
    "PlanningAnswers",
    "Plant",
    "PlantRate",
    "Quote",
    "QuoteLink",
    "Rendering",
    "Revision",
    "SmallJob",
    "SmallJobRate",
    "TakeOffSettings",
    "Variation",
    "VariationAnswer",
    "VariationLink",
    "VariationWatch",
    "Watch",
    "WorkItem",
    "WorkItemRate",
    "WorkItemStock",
]  # fmt: skip
