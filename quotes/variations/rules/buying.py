"""What new work of a variation buys: whole packs beside those that the job buys anyway.

A job's quote and its accepted variations open packs; what they leave in them is taken first and
not bought again. The rest of all new work of one variation is one purchase by the rules of a
quote's: whole packs over all its lines, and the carriage of an order of its own, since it is
ordered anew once the customer has signed. Spare mixes of the quote are no rest: they may be laid.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from jobs.kernel.money import PENNY, ZERO
from quotes.quoting.rules import MARK, Stocked, Taker, packs_of, uses_of, working

Lot = tuple[int, str]
# Marks the rows of a line's workings on what comes out of opened packs.
OPENED = "opened"


@dataclass(frozen=True)
class Taking:
    """A line of a variation as the purchase reads it."""

    kind: Any
    materials: Decimal
    workings: list[dict[str, str]]
    stock: list[dict[str, Any]]


def left_over(before: Sequence[Taker]) -> dict[Lot, Decimal]:
    """Return what the packs of a job's lines leave, in parts of a pack, by (item, run)."""
    uses = uses_of(before)
    taken: dict[Lot, Decimal] = {}
    for use in uses:
        taken[use.lot] = taken.get(use.lot, ZERO) + use.packs + use.spare
    return {
        lot: max(total - taken[lot], ZERO) for lot, (_, total) in packs_of(uses).items()
    }  # fmt: skip


def beside(
    lines: Sequence[Taker], left: Mapping[Lot, Decimal], stocked: Mapping[int, Stocked]
) -> list[Taking]:
    """Return the lines with only what must be bought for them, the first line's rest first.

    A row of workings says what comes out of packs that the job has.
    """
    rest, found = dict(left), []
    for line in lines:
        stock, told = [], []
        for row in line.stock:
            own = dict(row)
            if "wanted" in row:
                lot, wanted = (row["item"], row["colour_group"]), Decimal(row["wanted"])
                out = min(wanted, rest.get(lot, ZERO))
                own["wanted"] = f"{wanted - out:.9f}"
                if out:
                    rest[lot] -= out
                    told.append(_told(stocked[row["item"]], out))
            stock.append(own)
        kept = [row for row in line.workings if not {MARK, OPENED} & row.keys()]
        found.append(Taking(line.kind, line.materials, kept + told, stock))
    return found


def _told(item: Stocked, out: Decimal) -> dict[str, str]:
    how = f"{out.quantize(PENNY)} × {item.pack_name} out of the packs that the job buys already"
    return working(item.name, how, ZERO) | {OPENED: "yes"}
