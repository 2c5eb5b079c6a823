"""Reads of several models: what channels promise and ask, what jobs lack and by when."""

from stock.ordering.queries.clock import RegularWork, orderers, regular_work
from stock.ordering.queries.offers import ChannelOffer, offers_for, terms_of
from stock.ordering.queries.open_orders import committed, jobs_without_deposit, on_order
from stock.ordering.queries.shortages import Reckoned, draft_lines, job_needs, reckon_shortages

__all__ = [
    "ChannelOffer", "Reckoned", "RegularWork", "committed", "draft_lines", "job_needs",
    "jobs_without_deposit", "offers_for", "on_order", "orderers", "reckon_shortages",
    "regular_work", "terms_of",
]  # fmt: skip
