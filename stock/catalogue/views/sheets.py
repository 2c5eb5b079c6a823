"""The catalogue as files, out and in."""

from __future__ import annotations

from jobs.kernel.sheetviews import SheetExportView, SheetImportView
from stock.catalogue.resources import BlendResource, ItemResource
from stock.catalogue.views.items import SEE, WRITE


class ItemImport(SheetImportView):
    """Bring a sheet of items: see what it changes, then take all of it over."""

    permission = WRITE
    title = "Items from a sheet"
    resource_class = ItemResource
    list_url = "catalogue:list"
    export_url = "catalogue:export"


class ItemExport(SheetExportView):
    """The items as they stand, in the form that can be brought back."""

    permission = SEE
    title = "Items"
    resource_class = ItemResource


class BlendImport(SheetImportView):
    """Bring a sheet of blend cards."""

    permission = WRITE
    title = "Blends from a sheet"
    resource_class = BlendResource
    list_url = "catalogue:blends"
    export_url = "catalogue:blend_export"


class BlendExport(SheetExportView):
    """The blend cards as they stand."""

    permission = SEE
    title = "Blends"
    resource_class = BlendResource
