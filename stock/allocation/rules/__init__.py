"""Which lots a job gets: first expired first, one run for a colour group, released only.

Without rows: lots and needs come in as plain values, picks and what could not be met go out, each
with its why. The order of what comes in does not matter.
"""

from stock.allocation.rules.bundles import Change, bundles
from stock.allocation.rules.greedy import allocate
from stock.allocation.rules.values import (
    DAYS_UNTIL_BOOKED,
    STUCK_AFTER,
    Binds,
    LotView,
    Need,
    Pick,
    Plan,
    RunKey,
    Unmet,
    is_usable,
)

__all__ = [
    "DAYS_UNTIL_BOOKED", "STUCK_AFTER", "Binds", "Change", "LotView", "Need", "Pick", "Plan",
    "RunKey", "Unmet", "allocate", "bundles", "is_usable",
]  # fmt: skip
