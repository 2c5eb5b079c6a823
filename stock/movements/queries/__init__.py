"""What to pick for a job, what lies in a place, and the audit of the stock."""

from stock.movements.queries.audit import Difference, StockAudit, audit_stock
from stock.movements.queries.dying import (
    dying_for_list,
    jobs_that_could_take,
    last_day_of_use,
)
from stock.movements.queries.pick import PickLine, PickSheet, lots_in, pick_sheet
from stock.movements.queries.scan import find_place, where_to
from stock.movements.queries.waste import waste_for_list, waste_without_note, waste_words

__all__ = [
    "Difference", "PickLine", "PickSheet", "StockAudit", "audit_stock", "dying_for_list",
    "find_place", "jobs_that_could_take", "last_day_of_use", "lots_in", "pick_sheet",
    "waste_for_list", "waste_without_note", "waste_words", "where_to",
]  # fmt: skip
