"""Time-phased netting: what will be missing in which period, in lots as they are bought.

Projected = what was there − what expires + what is scheduled + what is planned − what is used.
Planned is what would be missing below the safety stock, rounded up to the lot. Where what goes
below it has a level to fill up to, it is filled up. All in base units and period numbers from 0.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Batch:
    """Stock at the start; `last` is the last period in which it may be used, None for ever."""

    quantity: int
    last: int | None = None


@dataclass(frozen=True)
class Period:
    """One period of the record."""

    gross: int
    scheduled: int
    expired: int
    net: int
    planned: int
    projected: int


@dataclass(frozen=True)
class Releases:
    """When planned receipts are to be ordered; past_due: should have been before period 0."""

    by_period: tuple[int, ...]
    past_due: int


def net_periods(
    gross: Sequence[int],
    scheduled: Sequence[int],
    stock: Sequence[Batch],
    *,
    safety: int = 0,
    lot: int = 1,
    fill_to: int = 0,
) -> list[Period]:
    """Return the record, one row for each entry of `gross`; `scheduled` is as long.

    What expires first is used first. `lot` is the quantity that one can buy a multiple of.
    """
    left = sorted(
        ([batch.quantity, batch.last] for batch in stock),
        key=lambda row: (row[1] is None, row[1] or 0),
    )
    rows = []
    for number, (wanted, coming) in enumerate(zip(gross, scheduled, strict=True)):
        expired = sum(q or 0 for q, last in left if last is not None and last < number)
        left = [row for row in left if row[1] is None or row[1] >= number]
        left.append([coming, None])
        available = sum(q or 0 for q, _ in left)
        net = max(0, wanted + safety - available)
        planned = 0
        if net:
            planned = -(-max(net, fill_to + wanted - available) // lot) * lot
            left.append([planned, None])
        use_first(left, wanted)
        projected = sum(q or 0 for q, _ in left)
        rows.append(Period(wanted, coming, expired, net, planned, projected))
    return rows


def use_first(left: list[list[int | None]], wanted: int) -> None:
    """Take `wanted` from the rows in their order."""
    for row in left:
        part = min(row[0] or 0, wanted)
        row[0] = (row[0] or 0) - part
        wanted -= part


def release_periods(planned: Sequence[int], lead: int) -> Releases:
    """Return when to order what is planned, `lead` periods before; too late is never dropped."""
    by_period = [0] * len(planned)
    past_due = 0
    for number, quantity in enumerate(planned):
        if quantity and number < lead:
            past_due += quantity
        elif quantity:
            by_period[number - lead] += quantity
    return Releases(tuple(by_period), past_due)


def join_near(planned: Sequence[int], window: int) -> dict[int, int]:
    """Return period -> quantity, with all that is planned within `window` periods in one."""
    joined: dict[int, int] = {}
    first: int | None = None
    for number, quantity in enumerate(planned):
        if not quantity:
            continue
        if first is None or number - first >= window:
            first = number
        joined[first] = joined.get(first, 0) + quantity
    return joined


def pallet_words(packs: int, packs_per_pallet: int | None, pack_words: str) -> str:
    """Say packs as they travel: '1 pallet and 4 bags'; `pack_words` is what to say without."""
    if not packs_per_pallet or packs < packs_per_pallet:
        return pack_words
    pallets, rest = divmod(packs, packs_per_pallet)
    said = f"{pallets} pallet{'' if pallets == 1 else 's'}"
    return f"{said} and {rest} over" if rest else said
