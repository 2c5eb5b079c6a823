"""What to pick for a job, what lies in a place, and the audit of the stock."""

from stock.movements.queries.audit import Difference, StockAudit, audit_stock
from stock.movements.queries.pick import PickLine, PickSheet, lots_in, pick_sheet

__all__ = [
    "Difference", "PickLine", "PickSheet", "StockAudit", "audit_stock", "lots_in", "pick_sheet",
]  # fmt: skip
