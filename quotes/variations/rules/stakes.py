"""What of the material that is left out lies here or is coming, and cannot simply be not bought.

Run-matched stone that was ordered for this job is of one run and fits no other: it counts as not
returnable. Other material that was ordered goes back for what the supplier takes. What was only
reserved from the shelf goes back to it. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from jobs.kernel.money import round_line


@dataclass(frozen=True)
class Held:
    """One item that a variation leaves out: base units asked for, and what there is for the job."""

    item_id: int
    name: str
    omitted: int
    required: int
    reserved: int
    issued: int
    ordered: int
    run_matched: bool
    cost_each: Decimal
    # The item's base unit, for people who read the figures.
    unit: str = ""


@dataclass(frozen=True)
class Stake:
    """What of it is at stake: base units that cannot be returned, and that can for a charge."""

    held: Held
    kept: int
    returnable: int

    @property
    def kept_value(self) -> Decimal:
        """What the part that cannot be returned has cost."""
        return round_line(self.held.cost_each * self.kept)

    @property
    def returnable_value(self) -> Decimal:
        """What the part that goes back has cost."""
        return round_line(self.held.cost_each * self.returnable)


def stake(held: Held) -> Stake:
    """Return what of an omitted item is too much for the job, and what becomes of it.

    `ordered` counts what came in on the job's orders as well as what is still to come; `reserved`
    and `issued` may be part of it, so the larger of the two stands for what there is.
    """
    left = max(held.required - held.omitted, 0)
    there = max(held.ordered, held.reserved + held.issued)
    if held.run_matched:
        return Stake(held, kept=min(max(there - left, 0), held.omitted), returnable=0)
    surplus = min(max(held.ordered - left, 0), held.omitted)
    return Stake(held, kept=0, returnable=surplus)
