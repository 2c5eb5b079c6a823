"""Writing orders, deliveries, shortages and reminders."""

from stock.ordering.services.drafts import (
    add_line,
    change_line,
    delete_draft,
    draft_order,
    post_draft,
    remove_line,
    start_order,
)
from stock.ordering.services.goods_in import ReceivedLine, receive_order, receive_with_photos
from stock.ordering.services.orders import (
    Placed,
    cancel_order,
    confirm_order,
    deposit_words,
    place_order,
)
from stock.ordering.services.reminders import hand_due_reminders, hand_reminder, make_reminders
from stock.ordering.services.shortages import post_shortages, sweep_shortages
from stock.ordering.services.undo import lock_delivery, post_undo, undo_goods_in

__all__ = [
    "Placed",
    "ReceivedLine",
    "add_line",
    "cancel_order",
    "change_line",
    "confirm_order",
    "delete_draft",
    "deposit_words",
    "draft_order",
    "hand_due_reminders",
    "hand_reminder",
    "lock_delivery",
    "make_reminders",
    "place_order",
    "post_draft",
    "post_shortages",
    "post_undo",
    "receive_order",
    "receive_with_photos",
    "remove_line",
    "start_order",
    "sweep_shortages",
    "undo_goods_in",
]  # fmt: skip
