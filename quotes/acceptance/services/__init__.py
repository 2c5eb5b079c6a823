"""The customer's link, and his answer."""

from quotes.acceptance.services.accepting import accept, decline, record_paper
from quotes.acceptance.services.links import (
    deliver_quote,
    make_link,
    note_opened,
    send_link_again,
    withdraw_links,
)

__all__ = [
    "accept", "decline", "deliver_quote", "make_link", "note_opened", "record_paper",
    "send_link_again", "withdraw_links",
]  # fmt: skip
