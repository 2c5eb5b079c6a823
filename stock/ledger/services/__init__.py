"""Writing the ledger: movements and lots."""

from stock.ledger.services.drafts import Row, words
from stock.ledger.services.kept_back import (
    extend_kept_back,
    keep_back,
    post_free_kept,
    release_kept_back,
)
from stock.ledger.services.lots import (
    hold_lot,
    post_hold,
    post_lot,
    post_release,
    post_split,
    release_lot,
    split_lot,
)
from stock.ledger.services.postings import lock_lots, post_movements

__all__ = [
    "Row", "extend_kept_back", "hold_lot", "keep_back", "lock_lots", "post_free_kept", "post_hold",
    "post_lot", "post_movements", "post_release", "post_split", "release_kept_back", "release_lot",
    "split_lot", "words",
]  # fmt: skip
