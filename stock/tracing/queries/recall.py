"""Where goods are now: in bays, vans, at sites, in surfaces, wasted; and whom to tell."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from django.db.models import Q, Sum

from jobs.work.models import Job
from stock.catalogue.enums import PlaceKind
from stock.catalogue.models import Item, Place
from stock.laying.enums import MixState
from stock.laying.models import LayBay
from stock.ledger.models import Balance, Lot, Movement
from stock.ledger.rules import pack_words
from stock.tracing.queries.lots import came_from, lots_like, shares_of, subject_words
from stock.tracing.rules import (
    Account,
    Flow,
    JobAccount,
    accounts_of,
    job_accounts,
    number_words,
)


def words(item: Item, quantity: int) -> str:
    """Write a quantity of an item in its packs."""
    return pack_words(quantity, item.pack_quantity, item.pack_name)


@dataclass(frozen=True)
class LotPart:
    """One lot of what is looked into, with its account and what lies where."""

    lot: Lot
    account: Account
    lies: list[tuple[Place, int]]
    line: Any = None

    @property
    def left(self) -> int:
        """What lies in bays, vans and sites by the balances."""
        return sum(quantity for _, quantity in self.lies)

    @property
    def agrees(self) -> bool:
        """Whether what came is all there or accounted for."""
        return self.left == self.account.left


@dataclass(frozen=True)
class ItemSum:
    """All lots of one item together; its parts add up to what came."""

    item: Item
    came: int
    bays: int
    vans: int
    sites: int
    laid: int
    waste: int
    missed: int

    @property
    def rows(self) -> list[tuple[str, str]]:
        """Return (what, how much) with the sum first."""
        found = [
            ("Came in", self.came), ("In bays", self.bays), ("In vans", self.vans),
            ("At sites", self.sites), ("Laid", self.laid), ("Waste", self.waste),
            ("Missing at counts", self.missed),
        ]  # fmt: skip
        return [(what, words(self.item, figure)) for what, figure in found]

    @property
    def unaccounted(self) -> int:
        """What the parts lack of what came; 0 unless the book is wrong."""
        parts = self.bays + self.vans + self.sites + self.laid + self.waste + self.missed
        return self.came - parts


@dataclass(frozen=True)
class JobPart:
    """What one job had of one item of it."""

    job: Job
    item: Item
    account: JobAccount

    @property
    def said(self) -> dict[str, str]:
        """Return the account's figures in packs, by their names."""
        names = ("drawn", "back", "laid", "waste", "missed", "left")
        return {name: words(self.item, getattr(self.account, name)) for name in names}


@dataclass(frozen=True)
class SurfacePart:
    """So much of one lot in one bay of a surface; `bay` is None for what no mix logged."""

    job: Job
    lot: Lot
    quantity: int
    bay: LayBay | None = None
    mixes: str = ""

    @property
    def words(self) -> str:
        """How much, in packs."""
        return words(self.lot.item, self.quantity)


@dataclass(frozen=True)
class Recall:
    """All there is to know of a lot, a run or a batch."""

    lot: Lot
    share: str
    title: str
    parts: list[LotPart]
    sums: list[ItemSum]
    jobs: list[JobPart]
    surfaces: list[SurfacePart]
    to_tell: list[Job] = field(default_factory=list)

    @property
    def agrees(self) -> bool:
        """Whether the quantities add up to what came, for each lot and each item."""
        return all(part.agrees for part in self.parts) and not any(
            row.unaccounted for row in self.sums
        )

    @property
    def to_hold(self) -> list[Lot]:
        """Return the lots that are not held and of which something is left."""
        return [
            part.lot for part in self.parts if part.left and part.lot.status != "held"
        ]  # fmt: skip

    @property
    def all_shares(self) -> list[Any]:
        """Return by what else the lot can be looked into."""
        return shares_of(self.lot)


def recall_of(lot: Lot, share: str) -> Recall:
    """Return where everything of a lot, run or batch is now; a fixed number of queries."""
    lots = lots_like(lot, share)
    flows = flows_of(lots)
    by_lot = accounts_of(flows)
    lies = balances_of(lots)
    lines = came_from(lots)
    parts = [
        LotPart(one, by_lot.get(one.pk, Account()), lies.get(one.pk, []), lines.get(one.pk))
        for one in lots
    ]
    jobs = job_parts(lots, flows)
    return Recall(
        lot=lot, share=share, title=subject_words(lot, share), parts=parts, sums=sums_of(parts),
        jobs=jobs, surfaces=surface_parts(lots, jobs, flows), to_tell=to_tell(jobs),
    )  # fmt: skip


def flows_of(lots: Sequence[Lot]) -> list[Flow]:
    """Return all that happened to lots, added up by kind, places and job: one query."""
    rows = (
        Movement.objects.filter(lot__in=lots)
        .order_by()
        .annotate(undone=Q(posting__reverses__isnull=False))
        .values_list(
            "lot_id", "posting__kind", "from_place__kind", "to_place__kind", "posting__job_id",
            "undone",
        )
        .annotate(Sum("quantity"))
    )  # fmt: skip
    return [Flow(*row) for row in rows]


def balances_of(lots: Sequence[Lot]) -> dict[int, list[tuple[Place, int]]]:
    """Return {lot id: [(place, quantity)]} of what lies anywhere: one query."""
    found: dict[int, list[tuple[Place, int]]] = defaultdict(list)
    rows = Balance.objects.filter(lot__in=lots, quantity__gt=0).select_related("place__job__site")
    for row in rows.order_by("place__kind", "place__near", "place__name", "pk"):
        found[row.lot_id].append((row.place, row.quantity))
    return found


def sums_of(parts: Iterable[LotPart]) -> list[ItemSum]:
    """Add lots up by item."""
    by_item: dict[int, list[LotPart]] = defaultdict(list)
    for part in parts:
        by_item[part.lot.item_id].append(part)
    found = []
    for rows in by_item.values():
        lying: dict[str, int] = defaultdict(int)
        for row in rows:
            for place, quantity in row.lies:
                lying[place.kind] += quantity
        found.append(
            ItemSum(
                item=rows[0].lot.item,
                came=sum(row.account.all_in for row in rows),
                bays=lying[PlaceKind.BAY], vans=lying[PlaceKind.VAN], sites=lying[PlaceKind.SITE],
                laid=sum(row.account.laid for row in rows),
                waste=sum(row.account.waste for row in rows),
                missed=sum(row.account.missed for row in rows),
            )
        )  # fmt: skip
    return found


def job_parts(lots: Sequence[Lot], flows: Iterable[Flow]) -> list[JobPart]:
    """Return what each job had of each item, the latest job first: two queries."""
    items = {lot.item_id: lot.item for lot in lots}
    accounts = job_accounts(flows, {lot.pk: lot.item_id for lot in lots})
    jobs = {
        job.pk: job
        for job in Job.objects.filter(pk__in={job_id for job_id, _ in accounts})
        .select_related("customer", "site")
        .prefetch_related("customer__contacts")
        .order_by("-opened_at", "-pk")
    }
    found = [
        JobPart(jobs[job_id], items[item_id], account)
        for (job_id, item_id), account in accounts.items()
    ]
    order = {pk: place for place, pk in enumerate(jobs)}
    return sorted(found, key=lambda part: (order[part.job.pk], part.item.pk))


def to_tell(jobs: Iterable[JobPart]) -> list[Job]:
    """Return the jobs whose customers have any of it, each once."""
    return list({part.job.pk: part.job for part in jobs if part.account.concerns}.values())


def surface_parts(
    lots: Sequence[Lot], jobs: Sequence[JobPart], flows: Iterable[Flow]
) -> list[SurfacePart]:
    """Return what lies in which bay: by the mixes, and what of it no mix logged; three queries."""
    by_job = {part.job.pk: part.job for part in jobs}
    by_pk = {lot.pk: lot for lot in lots}
    rows = Movement.objects.filter(
        lot__in=lots, to_place__kind=PlaceKind.LAID, posting__mix__state=MixState.LAID
    ).values_list("posting__mix__bay_id", "lot_id", "posting__mix__number", "quantity")
    numbers: dict[tuple[int, int], list[int]] = defaultdict(list)
    laid: dict[tuple[int, int], int] = defaultdict(int)
    for bay_id, lot_id, number, quantity in rows.order_by("posting__mix__number"):
        numbers[bay_id, lot_id].append(number)
        laid[bay_id, lot_id] += quantity
    bays = LayBay.objects.select_related("lay_day__job", "blend").in_bulk({pk for pk, _ in laid})
    found = [
        SurfacePart(
            by_job[bays[bay_id].lay_day.job_id], by_pk[lot_id], quantity, bays[bay_id],
            number_words(numbers[bay_id, lot_id]),
        )
        for (bay_id, lot_id), quantity in laid.items()
    ]  # fmt: skip
    found.sort(key=lambda part: (part.bay.lay_day.day, part.bay.pk, part.lot.pk))  # type: ignore[union-attr]
    return found + [
        SurfacePart(by_job[job_id], by_pk[lot_id], quantity)
        for (job_id, lot_id), quantity in unlogged(flows, found).items()
    ]


def unlogged(flows: Iterable[Flow], logged: Iterable[SurfacePart]) -> dict[tuple[int, int], int]:
    """Return {(job id, lot id): what was laid and stands in no mix}."""
    left: dict[tuple[int, int], int] = defaultdict(int)
    for flow in flows:
        if flow.job_id is not None:
            if flow.to_kind == PlaceKind.LAID:
                left[flow.job_id, flow.lot_id] += flow.quantity
            elif flow.from_kind == PlaceKind.LAID:
                left[flow.job_id, flow.lot_id] -= flow.quantity
    for part in logged:
        left[part.job.pk, part.lot.pk] -= part.quantity
    return {spot: quantity for spot, quantity in left.items() if quantity > 0}
