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
from quotes.pricebook.views.sheets import (
    DatedExport,
    DatedImport,
    PriceBookExport,
    PriceBookImport,
)

__all__ = [
    "AddEntry", "ArchiveEntry", "BookPage", "DatedExport", "DatedImport", "EntryList", "EntryPage",
    "FirmRatesPage", "NewEntryRate", "NewFirmRates", "NewRate", "PriceBookExport",
    "PriceBookImport", "WorkItemArchive", "WorkItemCreate", "WorkItemEdit", "WorkItemList",
    "WorkItemPage",
]  # fmt: skip
