"""What variations rest on: the accepted quote, what is held for the job, and by when to order."""

from quotes.variations.queries.agreed import (
    accepted_revision,
    agreed_before,
    agreed_lines,
    counted,
    left_out,
    line_parts,
    net_before,
    packs_of,
    price_before,
    purchase_of_work,
    variations_listed,
    variations_of,
    with_all,
)
from quotes.variations.queries.days import (
    AT_WORK,
    booked_halves,
    bookings_of,
    days_to_see_to,
    due_of,
)
from quotes.variations.queries.links import (
    SHUT,
    STUCK_AFTER,
    Cancellable,
    Opened,
    answer_of,
    kept_of,
    may_cancel_changes,
    open_link,
    records_of,
    to_deliver,
    to_draw,
    why_not_mail,
    why_shut,
)
from quotes.variations.queries.moments import OrderMoment, effect_of, order_moment
from quotes.variations.queries.sheets import build_sheet, sheet_of
from quotes.variations.queries.stakes import stakes_of

__all__ = [
    "AT_WORK", "SHUT", "STUCK_AFTER", "Cancellable", "Opened", "OrderMoment", "accepted_revision",
    "agreed_before", "agreed_lines", "answer_of", "booked_halves", "bookings_of", "build_sheet",
    "counted", "days_to_see_to", "due_of", "effect_of", "kept_of", "left_out", "line_parts",
    "may_cancel_changes", "net_before", "open_link", "order_moment", "packs_of", "price_before",
    "purchase_of_work", "records_of", "sheet_of", "stakes_of", "to_deliver", "to_draw",
    "variations_listed", "variations_of", "why_not_mail", "why_shut", "with_all",
]  # fmt: skip
