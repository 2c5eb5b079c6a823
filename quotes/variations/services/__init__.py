"""Writing, sending, signing variations, and what a signature leads to."""

from quotes.variations.services.answering import (
    accept,
    decline,
    note_opened,
    record_decline,
    record_paper,
)
from quotes.variations.services.days import reopen_days, settle_days
from quotes.variations.services.drafts import (
    add_line,
    change_variation,
    lock_variation,
    remove_line,
    remove_variation,
    start_variation,
)
from quotes.variations.services.sending import (
    address_of,
    claim_drawing,
    deliver_variation,
    fail_drawing,
    keep_pdf,
    revise_variation,
    send_link_again,
    send_variation,
    withdraw_variation,
)

__all__ = [
    "accept", "add_line", "address_of", "change_variation", "claim_drawing", "decline",
    "deliver_variation", "fail_drawing", "keep_pdf", "lock_variation", "note_opened",
    "record_decline", "record_paper", "remove_line", "remove_variation", "reopen_days",
    "revise_variation", "send_link_again", "send_variation", "settle_days", "start_variation",
    "withdraw_variation",
]  # fmt: skip
