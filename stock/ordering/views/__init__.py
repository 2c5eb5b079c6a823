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
    PlaceOrder,
    RemoveLine,
    StartOrder,
)
from stock.ordering.views.receive import Deliveries, ReceiveOrder

__all__ = [
    "AddLine", "CancelOrder", "ChangeLine", "Clock", "ConfirmOrder", "DeleteDraft", "Deliveries",
    "DraftFromShortages", "OrderPage", "Orders", "PlaceOrder", "ReceiveOrder", "Reminders",
    "RemoveLine", "Shortages", "StartOrder",
]  # fmt: skip
