"""What became of goods, added up from the movements without reading any row."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from stock.catalogue.enums import PlaceKind
from stock.ledger.enums import PostingKind


@dataclass(frozen=True)
class Flow:
    """So many base units of one lot that went from one kind of place to another.

    `undone` where the posting undoes another; `job_id` is the posting's job.
    """

    lot_id: int
    kind: str
    from_kind: str
    to_kind: str
    job_id: int | None
    undone: bool
    quantity: int


@dataclass
class Account:
    """Of some goods, in base units: what came, what left the book, and what should be left.

    `came` counts goods in less goods-in undone; `split` what came out of a lot that is not among
    them. `laid`, `waste` and `missed` (count differences) are net of what was undone or found.
    """

    came: int = 0
    split: int = 0
    laid: int = 0
    waste: int = 0
    missed: int = 0

    def add(self, flow: Flow) -> None:
        """Take one flow in."""
        for kind, sign in ((flow.to_kind, 1), (flow.from_kind, -1)):
            change = sign * flow.quantity
            if kind == PlaceKind.SUPPLIER:
                self.came -= change
            elif kind == PlaceKind.LAID:
                self.laid += change
            elif kind == PlaceKind.WASTE:
                self.waste += change
            elif kind == PlaceKind.ADJUSTMENT and flow.kind == PostingKind.TRANSFER:
                self.split -= change
            elif kind == PlaceKind.ADJUSTMENT:
                self.missed += change

    @property
    def all_in(self) -> int:
        """All that there was of it."""
        return self.came + self.split

    @property
    def left(self) -> int:
        """What should lie in bays, vans and sites."""
        return self.all_in - self.laid - self.waste - self.missed


@dataclass
class JobAccount:
    """Of some goods at one job, in base units: drawn from the yard, and what became of it."""

    drawn: int = 0
    back: int = 0
    laid: int = 0
    waste: int = 0
    missed: int = 0

    def add(self, flow: Flow) -> None:
        """Take one flow to or from the job's site in.

        An undone issue was never drawn, an undone return never came back.
        """
        sign = 1 if flow.from_kind == PlaceKind.SITE else -1
        change = sign * flow.quantity
        if flow.kind == PostingKind.LAY:
            self.laid += change
        elif flow.kind == PostingKind.WASTE:
            self.waste += change
        elif flow.kind == PostingKind.COUNT:
            self.missed += change
        elif (flow.kind == PostingKind.ISSUE) != flow.undone:
            self.drawn -= change
        else:
            self.back += change

    @property
    def left(self) -> int:
        """What should lie at the site."""
        return self.drawn - self.back - self.laid - self.waste - self.missed

    @property
    def concerns(self) -> bool:
        """Whether the customer has any of it, in the surface or lying there."""
        return self.laid > 0 or self.left > 0


def accounts_of(flows: Iterable[Flow]) -> dict[int, Account]:
    """Return {lot id: Account}."""
    found: dict[int, Account] = defaultdict(Account)
    for flow in flows:
        found[flow.lot_id].add(flow)
    return dict(found)


def job_accounts(
    flows: Iterable[Flow], item_of: dict[int, int]
) -> dict[tuple[int, int], JobAccount]:
    """Return {(job id, item id): JobAccount} of what went to sites."""
    found: dict[tuple[int, int], JobAccount] = defaultdict(JobAccount)
    for flow in flows:
        if flow.job_id is not None and PlaceKind.SITE in {flow.from_kind, flow.to_kind}:
            found[flow.job_id, item_of[flow.lot_id]].add(flow)
    return dict(found)


def number_words(numbers: Iterable[int]) -> str:
    """Write mix numbers as people read them: '1–4, 7'."""
    parts: list[list[int]] = []
    for number in sorted(set(numbers)):
        if parts and number == parts[-1][-1] + 1:
            parts[-1].append(number)
        else:
            parts.append([number])
    return ", ".join(
        f"{part[0]}" if len(part) == 1 else f"{part[0]}\N{EN DASH}{part[-1]}" for part in parts
    )
