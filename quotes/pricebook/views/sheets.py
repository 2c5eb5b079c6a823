"""The price book as a file, out and in."""

from __future__ import annotations

from jobs.kernel.sheetviews import SheetExportView, SheetImportView
from quotes.pricebook.resources import WorkItemResource
from quotes.pricebook.views.common import CHANGE, SEE


class PriceBookImport(SheetImportView):
    """Bring a sheet of work items: see what it changes, then take all of it over."""

    permission = CHANGE
    title = "Price book from a sheet"
    resource_class = WorkItemResource
    list_url = "pricebook:list"
    export_url = "pricebook:export"


class PriceBookExport(SheetExportView):
    """The price book as it stands, in the form that can be brought back."""

    permission = SEE
    title = "Price book"
    resource_class = WorkItemResource
