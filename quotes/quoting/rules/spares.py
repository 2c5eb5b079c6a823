"""What spare mixes cost beside what running short costs."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from quotes.engine.contingency import WeighedOption, cheapest, spare_options, weigh
from quotes.takeoff.rules import SpareRow, TakeOff, spare_rows

# Beyond the most that any risk asks for, so that the cheapest is not cut off.
MORE = 5


@dataclass(frozen=True)
class WeighedRow:
    """A choice of spares with both costs."""

    row: SpareRow
    weighed: WeighedOption


@dataclass(frozen=True)
class SpareCosts:
    """Both costs of each choice, and the number of spares that is cheapest in all."""

    rows: tuple[WeighedRow, ...]
    cheapest: WeighedOption


def unopened_cost(
    mix: Decimal, *, carriage: Decimal, handling_hours: Decimal, hourly: Decimal, expiry: Decimal
) -> Decimal:
    """Return what a spare mix costs that comes back unopened: carriage, handling, its expiry.

    expiry: the share of the material that is thrown away in the end, in %.
    """
    return carriage + handling_hours * hourly + mix * expiry / 100


def spare_costs(found: TakeOff, *, unopened: Decimal, short: Decimal) -> SpareCosts | None:
    """Return both costs of the choices that the take-off shows; None without an answer."""
    if found.worked is None:
        return None
    job = found.worked.found.job
    shown = [
        (row, row.option) for row in spare_rows(job, found.settings.spare_mixes) if row.option
    ]  # fmt: skip
    weighed = weigh([option for _, option in shown], unopened_spare=unopened, running_short=short)
    most = min(200, max(option.spares for _, option in shown) + MORE)
    every = weigh(spare_options(job, most), unopened_spare=unopened, running_short=short)
    rows = tuple(WeighedRow(row, each) for (row, _), each in zip(shown, weighed, strict=True))
    return SpareCosts(rows, cheapest(every))
