"""Gathers the rooms' tasks; the worker finds them here."""

from stock.allocation.tasks import propose as propose_allocation
from stock.allocation.tasks import sweep as sweep_allocation
from stock.conditions.tasks import check as check_conditions
from stock.conditions.tasks import sweep as sweep_conditions
from stock.ordering.tasks import sweep as sweep_orders
from stock.reorder.tasks import daily as reorder_daily
from stock.reorder.tasks import sweep as sweep_reorder

__all__ = [
    "check_conditions",
    "propose_allocation",
    "reorder_daily",
    "sweep_allocation",
    "sweep_conditions",
    "sweep_orders",
    "sweep_reorder",
]
