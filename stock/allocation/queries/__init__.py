"""What jobs need, what lies there for it, and all jobs of the horizon together."""

from stock.allocation.queries.horizon import (
    Horizon,
    due_proposals,
    exact_of,
    free_now,
    horizon,
    is_fixed,
    lots_of,
    near_day,
    reservations_by_need,
    shown_proposal,
)
from stock.allocation.queries.needs import (
    Dying,
    OpenNeed,
    as_needs,
    dying,
    job_needs,
    lay_day_of,
    needs_of,
    open_needs,
    reservations_of,
    use_day,
)
from stock.allocation.queries.views import (
    InHand,
    items_with_substitutes,
    job_plan,
    lot_views,
    rule_need,
    runs_in_hand,
    substitutes_of,
)

__all__ = [
    "Dying", "Horizon", "InHand", "OpenNeed", "as_needs", "due_proposals", "dying", "exact_of",
    "free_now", "horizon", "is_fixed", "items_with_substitutes", "job_needs", "job_plan",
    "lay_day_of", "lot_views", "lots_of", "near_day", "needs_of", "open_needs",
    "reservations_by_need", "reservations_of", "rule_need", "runs_in_hand", "shown_proposal",
    "substitutes_of", "use_day",
]  # fmt: skip
