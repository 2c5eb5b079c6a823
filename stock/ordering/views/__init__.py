"""Pages of orders: lists, one order, goods-in, and the clock."""

from stock.ordering.views.clock import Clock, DraftFromShortages, Reminders, Shortages
from stock.ordering.views.orders import (
    AddLine,
    CancelOrder,
    ChangeLine,
    ConfirmOrder,
    DeleteDraft,
    OrderPage,
    Orders,
    PlaceAnyway,
    PlaceOrder,
    RemoveLine,
    StartOrder,
)
from stock.ordering.views.receive import (
    AddPhotos,
    Deliveries,
    Delivery,
    ReceiveOrder,
    UndoDelivery,
)

__all__ = [
    "AddLine", "AddPhotos", "CancelOrder", "ChangeLine", "Clock", "ConfirmOrder", "DeleteDraft",
    "Deliveries", "Delivery", "DraftFromShortages", "OrderPage", "Orders", "PlaceAnyway",
    "PlaceOrder", "ReceiveOrder", "Reminders", "RemoveLine", "Shortages", "StartOrder",
    "UndoDelivery",
]  # fmt: skip
