"""Gathers the rooms' tasks; the worker finds them here."""

from stock.ordering.tasks import sweep as sweep_orders
from stock.reorder.tasks import daily as reorder_daily
from stock.reorder.tasks import sweep as sweep_reorder

__all__ = ["reorder_daily", "sweep_orders", "sweep_reorder"]
