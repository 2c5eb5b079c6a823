"""What jobs lack when the yard's free stock and their own orders are counted against their needs.

The job that needs a thing first takes it first. What came in on a job's own order goes to that
job before any other. Stone that must be of one run is all or nothing: odd bags of other runs do
not count, and the whole quantity is short.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta


@dataclass(frozen=True)
class Need:
    """What one job still wants of one item, in base units, neither reserved nor issued.

    used_on: the last day of the phase that uses it; margin_days: how long after that it must
    still be in date; runs: where part of it is reserved or issued already, the run of that part.
    """

    job_id: int
    item_id: int
    colour_group: str
    phase: str
    quantity: int
    needed_on: date
    used_on: date
    margin_days: int = 0
    run_matched: bool = False
    runs: frozenset[str] = frozenset()

    @property
    def key(self) -> tuple[int, int, str, str]:
        """Return what tells it from every other need."""
        return (self.job_id, self.item_id, self.colour_group, self.phase)


@dataclass(frozen=True)
class FreeLot:
    """A released lot's free stock in base units; for_jobs: whose orders it came in on.

    What is on order for the yard counts too, from the day it `comes_on`.
    """

    lot_id: int
    item_id: int
    run: str
    free: int
    expiry: date | None = None
    for_jobs: frozenset[int] = frozenset()
    comes_on: date | None = None


@dataclass(frozen=True)
class Short:
    """How much of a need nothing covers; odd: free stock of other runs that does not count."""

    need: Need
    quantity: int
    on_order: int = 0
    in_yard: int = 0
    odd: int = 0


@dataclass
class _Pool:
    """What is left of the free lots as needs take from it."""

    lots: Sequence[FreeLot]
    left: dict[int, int] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.left = {lot.lot_id: lot.free for lot in self.lots}

    def usable(self, need: Need, *, own: bool) -> list[FreeLot]:
        """Return lots with something left for a need, first expired first."""
        last = need.used_on + timedelta(days=need.margin_days)
        found = [
            lot
            for lot in self.lots
            if lot.item_id == need.item_id
            and self.left[lot.lot_id] > 0
            and (lot.expiry is None or lot.expiry >= last)
            and (lot.comes_on is None or lot.comes_on <= need.needed_on)
            and (not own or need.job_id in lot.for_jobs)
        ]
        return sorted(
            found, key=lambda lot: (lot.comes_on or date.min, lot.expiry or date.max, lot.lot_id)
        )

    def take(self, lots: Sequence[FreeLot], wanted: int) -> int:
        """Take up to `wanted` from the lots in their order; return what was taken."""
        taken = 0
        for lot in lots:
            part = min(self.left[lot.lot_id], wanted - taken)
            self.left[lot.lot_id] -= part
            taken += part
        return taken


def short_of(
    needs: Sequence[Need],
    lots: Sequence[FreeLot],
    on_order: Mapping[tuple[int, int, str], int],
) -> list[Short]:
    """Return what is short, in the order of need; needs that are covered are left out.

    on_order: (job, item, colour group) to base units still to come on its placed orders.
    """
    pool = _Pool(lots)
    coming = dict(on_order)
    ordered = sorted(needs, key=lambda need: (need.needed_on, need.used_on, need.key))
    wanted: dict[tuple[int, int, str, str], int] = {}
    ordered_for: dict[tuple[int, int, str, str], int] = {}
    for need in ordered:
        order_key = need.key[:3]
        part = min(need.quantity, coming.get(order_key, 0))
        coming[order_key] = coming.get(order_key, 0) - part
        ordered_for[need.key] = part
        wanted[need.key] = need.quantity - part
    for own in (True, False):
        for need in ordered:
            wanted[need.key] -= _cover(need, wanted[need.key], pool, own=own)
    return [
        Short(
            need=need,
            quantity=wanted[need.key],
            on_order=ordered_for[need.key],
            in_yard=need.quantity - ordered_for[need.key] - wanted[need.key],
            odd=sum(pool.left[lot.lot_id] for lot in pool.usable(need, own=False))
            if need.run_matched
            else 0,
        )
        for need in ordered
        if wanted[need.key] > 0
    ]


def _cover(need: Need, wanted: int, pool: _Pool, *, own: bool) -> int:
    if wanted <= 0:
        return 0
    lots = pool.usable(need, own=own)
    if not need.run_matched:
        return pool.take(lots, wanted)
    runs: dict[str, list[FreeLot]] = defaultdict(list)
    for lot in lots:
        if not need.runs or lot.run in need.runs:
            runs[lot.run].append(lot)
    enough = [
        (sum(pool.left[lot.lot_id] for lot in same), run)
        for run, same in runs.items()
        if sum(pool.left[lot.lot_id] for lot in same) >= wanted
    ]
    if not enough:
        return 0
    # The run that leaves least behind, so that a larger one stays whole for a larger job.
    return pool.take(runs[min(enough)[1]], wanted)
