"""Pages of what jobs need, of one job's material, and of the proposal for all of them."""

from stock.allocation.views.jobs import (
    JobNeeds,
    Needs,
    PinReservation,
    ReleaseReservation,
    ReserveJob,
)
from stock.allocation.views.proposal import (
    AskProposal,
    ProposalProgress,
    ShowProposal,
    TakeProposal,
)

__all__ = [
    "AskProposal", "JobNeeds", "Needs", "PinReservation", "ProposalProgress",
    "ReleaseReservation", "ReserveJob", "ShowProposal", "TakeProposal",
]  # fmt: skip
