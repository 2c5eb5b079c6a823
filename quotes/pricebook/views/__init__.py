"""Pages of the price book."""

from quotes.pricebook.views.book import (
    AddEntry,
    ArchiveEntry,
    BookPage,
    EntryList,
    EntryPage,
    NewEntryRate,
)
from quotes.pricebook.views.items import (
    NewRate,
    WorkItemArchive,
    WorkItemCreate,
    WorkItemEdit,
    WorkItemList,
    WorkItemPage,
)
from quotes.pricebook.views.rates import FirmRatesPage, NewFirmRates
from quotes.pricebook.views.sheets import PriceBookExport, PriceBookImport

__all__ = [
    "AddEntry", "ArchiveEntry", "BookPage", "EntryList", "EntryPage", "FirmRatesPage",
    "NewEntryRate", "NewFirmRates", "NewRate", "PriceBookExport", "PriceBookImport",
    "WorkItemArchive", "WorkItemCreate", "WorkItemEdit", "WorkItemList", "WorkItemPage",
]  # fmt: skip
