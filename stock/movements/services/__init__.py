"""Issue, return, waste, transfer, count, and undoing each of them."""

from stock.ledger.services import words
from stock.movements.services.notes import post_note, record_note, void_note
from stock.movements.services.site import (
    ReturnRow,
    issue_job,
    mark_picked,
    post_return,
    return_from_site,
)
from stock.movements.services.tins import (
    add_tin,
    check_untouched,
    keep_tin,
    pair_tins,
    scrap_tin,
)
from stock.movements.services.undo import UNDOABLE, can_undo, undo_posting
from stock.movements.services.yard import (
    CountResult,
    Difference,
    count_place,
    post_waste,
    transfer_stock,
    waste_stock,
)

__all__ = [
    "UNDOABLE",
    "CountResult",
    "Difference",
    "ReturnRow",
    "add_tin",
    "can_undo",
    "check_untouched",
    "count_place",
    "issue_job",
    "keep_tin",
    "mark_picked",
    "pair_tins",
    "post_note",
    "post_return",
    "post_waste",
    "record_note",
    "return_from_site",
    "scrap_tin",
    "transfer_stock",
    "undo_posting",
    "void_note",
    "waste_stock",
    "words",
]  # fmt: skip
