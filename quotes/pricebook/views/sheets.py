"""The price book as a file, out and in."""

from __future__ import annotations

from typing import Any

from django.http import Http404
from django.urls import reverse

from jobs.kernel.sheetviews import SheetExportView, SheetImportView
from quotes.pricebook.enums import BookKind
from quotes.pricebook.resources import DATED, FirmRatesResource, WorkItemResource
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


class DatedSheet:
    """Sheets of plant, ground and small jobs, or the firm's rates: as the address says."""

    kwargs: dict[str, Any]
    resource_class: Any
    label: str

    def find(self) -> None:
        """Take the kind from the address; any other word is no page."""
        kind = self.kwargs["kind"]
        known: dict[str, tuple[str, Any]] = {"rates": ("firm's rates", FirmRatesResource)}
        known |= {each.value: (each.label, DATED[each]) for each in BookKind}
        if kind not in known:
            raise Http404
        self.label, self.resource_class = known[kind]


class DatedImport(DatedSheet, SheetImportView):
    """Bring a sheet of entries with their figures, or of the firm's rates."""

    permission = CHANGE

    def get_title(self) -> str:
        return f"{self.label.capitalize()} from a sheet"

    def get_list_href(self) -> str:
        kind = self.kwargs["kind"]
        if kind == "rates":
            return reverse("pricebook:rates")
        return reverse("pricebook:entries", args=[kind])

    def get_export_href(self) -> str:
        return reverse("pricebook:export_kind", args=[self.kwargs["kind"]])


class DatedExport(DatedSheet, SheetExportView):
    """Entries with their figures, or the firm's rates, in the form that can be brought back."""

    permission = SEE

    def get(self, request: Any, *args: Any, **kwargs: Any) -> Any:
        self.title = self.label  # type: ignore[misc]
        return super().get(request, *args, **kwargs)
