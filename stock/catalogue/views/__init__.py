"""Pages of items, blend cards and places."""

from stock.catalogue.views.blends import BlendCard, BlendCreate, BlendEdit, Blends
from stock.catalogue.views.items import ItemArchive, ItemCreate, ItemDetail, ItemEdit, Items
from stock.catalogue.views.places import PlaceCreate, PlaceEdit, Places

__all__ = [
    "BlendCard", "BlendCreate", "BlendEdit", "Blends", "ItemArchive", "ItemCreate", "ItemDetail",
    "ItemEdit", "Items", "PlaceCreate", "PlaceEdit", "Places",
]  # fmt: skip
