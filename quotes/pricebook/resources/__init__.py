"""The price book as sheets: what a row means, out and in again."""

from quotes.pricebook.resources.dated import DATED, FirmRatesResource
from quotes.pricebook.resources.workitems import WorkItemResource

__all__ = ["DATED", "FirmRatesResource", "WorkItemResource"]
