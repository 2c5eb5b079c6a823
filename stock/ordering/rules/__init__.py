"""Reckoning of orders without rows: last moments, deliveries, what is short, who is told when."""

from stock.ordering.rules.cutoffs import (
    ChannelTerms,
    Moment,
    arrival,
    counting_day,
    cutoff_instant,
    needed_on,
    next_cutoff,
    order_by,
)
from stock.ordering.rules.goods import (
    Arrived,
    carriage_for,
    check_arrived,
    claim_by,
    cost_of_delivery,
    order_total,
    packs_for,
    plain_run,
    share_carriage,
)
from stock.ordering.rules.shortages import FreeLot, Need, Short, short_of

__all__ = [
    "Arrived", "ChannelTerms", "FreeLot", "Moment", "Need", "Short", "arrival", "carriage_for",
    "check_arrived", "claim_by", "cost_of_delivery", "counting_day", "cutoff_instant", "needed_on",
    "next_cutoff", "order_by", "order_total", "packs_for", "plain_run", "share_carriage",
    "short_of",
]  # fmt: skip
