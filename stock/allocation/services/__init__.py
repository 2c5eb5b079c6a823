"""Writing requirements, reservations and proposals.

Requirements are locked first, in pk order, then lots, in pk order; so does whoever issues.
"""

from stock.allocation.services.labelling import post_labelled
from stock.allocation.services.proposals import (
    DAYS,
    ask_proposal,
    claim_proposal,
    fail_proposal,
    keep_proposal,
    note_progress,
    take_proposal,
)
from stock.allocation.services.requirements import (
    NeedRow,
    lock_requirements,
    post_issued,
    post_requirements,
    post_use,
)
from stock.allocation.services.reserving import (
    AllocationResult,
    pin_reservation,
    post_free,
    post_release,
    release_job,
    release_reservation,
    reserve_job,
)

__all__ = [
    "DAYS", "AllocationResult", "NeedRow", "ask_proposal", "claim_proposal", "fail_proposal",
    "keep_proposal", "lock_requirements", "note_progress", "pin_reservation", "post_free",
    "post_issued", "post_labelled", "post_release", "post_requirements", "post_use", "release_job",
    "release_reservation", "reserve_job", "take_proposal",
]  # fmt: skip
