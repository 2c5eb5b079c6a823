"""Reckoning of the price book without rows: unit rates, buying, hire, travel, muck, day-work."""

from quotes.pricebook.rules.buying import Bought, Carriage, Plan, Want
from quotes.pricebook.rules.prices import (
    HUNDRED,
    MOST_STOCKED,
    PackPrice,
    StockCost,
    UnitCost,
    build_up,
    cheapest,
    in_force,
    margin_in,
    overhead_on,
    price_at,
    stock_cost,
)
from quotes.pricebook.rules.purchase import cheapest_plan
from quotes.pricebook.rules.site import (
    Daywork,
    Hire,
    Muck,
    Travel,
    daywork_of,
    hire_of,
    muck_of,
    travel_of,
)

__all__ = [
    "HUNDRED", "MOST_STOCKED", "Bought", "Carriage", "Daywork", "Hire", "Muck", "PackPrice",
    "Plan", "StockCost", "Travel", "UnitCost", "Want", "build_up", "cheapest", "cheapest_plan",
    "daywork_of", "hire_of", "in_force", "margin_in", "muck_of", "overhead_on", "price_at",
    "stock_cost", "travel_of",
]  # fmt: skip
