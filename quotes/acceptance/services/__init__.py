"""The customer's link, and his answer."""

from quotes.acceptance.services.accepting import accept, check_signed, decline, record_paper
from quotes.acceptance.services.following import post_budget, true_rate
from quotes.acceptance.services.links import (
    address_of,
    deliver_quote,
    lock_sent,
    make_link,
    new_link,
    note_opened,
    post_link,
    send_link_again,
    withdraw_links,
)

__all__ = [
    "accept", "address_of", "check_signed", "decline", "deliver_quote", "lock_sent",
    "make_link", "new_link", "note_opened", "post_budget", "post_link", "record_paper",
    "send_link_again", "true_rate", "withdraw_links",
]  # fmt: skip
