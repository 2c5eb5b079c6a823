"""Pages of items, blend cards and places."""

from stock.catalogue.views.blends import BlendCard, BlendCreate, BlendEdit, Blends
from stock.catalogue.views.items import ItemArchive, ItemCreate, ItemDetail, ItemEdit, Items
from stock.catalogue.views.places import PlaceCreate, PlaceEdit, Places
from stock.catalogue.views.sheets import BlendExport, BlendImport, ItemExport, ItemImport
from stock.catalogue.views.substitutes import SubstituteAdd, SubstituteFirst, SubstituteRemove

__all__ = [
    "BlendCard", "BlendCreate", "BlendEdit", "BlendExport", "BlendImport", "Blends", "ItemArchive",
    "ItemCreate", "ItemDetail", "ItemEdit", "ItemExport", "ItemImport", "Items", "PlaceCreate",
    "PlaceEdit", "Places", "SubstituteAdd", "SubstituteFirst", "SubstituteRemove",
]  # fmt: skip
