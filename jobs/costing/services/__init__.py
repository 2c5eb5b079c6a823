"""What costing does: post a cost once, enter and withdraw hours."""

from jobs.costing.services.hours import enter_hours, withdraw_hours
from jobs.costing.services.posting import post_cost

__all__ = ["enter_hours", "post_cost", "withdraw_hours"]
