"""Re-adding the whole stock from its movements, and naming every figure that differs."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Q, Sum

from jobs.costing.models import CostEntry
from jobs.kernel.appendonly import missing_triggers
from jobs.kernel.money import ZERO
from stock.allocation.models import Requirement, Reservation
from stock.catalogue.models import Place
from stock.ledger.enums import PostingKind
from stock.ledger.models import Balance, KeptBack, Lot, Movement
from stock.ledger.rules import COUNTED, YARD

COSTED = (PostingKind.ISSUE, PostingKind.RETURN)


@dataclass(frozen=True)
class Difference:
    """A figure that is kept, and what it should be by the movements."""

    what: str
    kept: str
    found: str


@dataclass(frozen=True)
class StockAudit:
    """How much was re-added, and what differs."""

    lots: int
    movements: int
    differences: list[Difference]

    @property
    def ok(self) -> bool:
        """Whether everything agrees."""
        return not self.differences


def audit_stock() -> StockAudit:
    """Re-add every balance, lot, reservation and cost; reads only, a fixed number of queries."""
    places = dict(Place.objects.filter(kind__in=COUNTED).values_list("pk", "kind"))
    names = dict(Place.objects.values_list("pk", "name"))
    lots = {lot.pk: lot for lot in Lot.objects.order_by("pk")}
    sums = re_add(set(places))
    found: list[Difference] = []
    found += balances_differ(sums, lots, names)
    found += lots_differ(sums, lots, places)
    drawn = drawn_by_jobs()
    found += costs_differ(lots, drawn)
    found += entries_differ()
    found += issued_differ(lots, drawn)
    found += [
        Difference("the database's guard", "missing", f"trigger {name}")
        for name in missing_triggers()
    ]
    return StockAudit(len(lots), Movement.objects.count(), found)


def differ(what: str, kept: object, found: object) -> Iterable[Difference]:
    """Yield a difference where two figures are not the same."""
    if kept != found:
        yield Difference(what, str(kept), str(found))


def re_add(counted: set[int]) -> dict[tuple[int, int], int]:
    """Return {(lot, place): what came in less what went out} of the counted places."""
    sums: dict[tuple[int, int], int] = defaultdict(int)
    for end, sign in (("to_place_id", 1), ("from_place_id", -1)):
        rows = (
            Movement.objects.filter(**{f"{end}__in": counted})
            .order_by()
            .values_list("lot_id", end)
            .annotate(Sum("quantity"))
        )
        for lot_id, place_id, quantity in rows:
            sums[lot_id, place_id] += sign * quantity
    return sums


def balances_differ(
    sums: dict[tuple[int, int], int], lots: dict[int, Lot], names: dict[int, str]
) -> Iterable[Difference]:
    """Compare each balance with its movements, both ways."""
    kept = {
        (lot_id, place_id): quantity
        for lot_id, place_id, quantity in Balance.objects.values_list(
            "lot_id", "place_id", "quantity"
        )
    }
    for spot in sorted(sums.keys() | kept.keys()):
        what = f"{lots[spot[0]].code} in {names[spot[1]]}"
        yield from differ(what, kept.get(spot, 0), sums.get(spot, 0))


def lots_differ(
    sums: dict[tuple[int, int], int], lots: dict[int, Lot], places: dict[int, str]
) -> Iterable[Difference]:
    """Compare each lot's sums with its movements, and with what is reserved and kept back."""
    yard: dict[int, int] = defaultdict(int)
    sites: dict[int, int] = defaultdict(int)
    for (lot_id, place_id), quantity in sums.items():
        (yard if places[place_id] in YARD else sites)[lot_id] += quantity
    rows = Reservation.objects.order_by().values_list("lot_id").annotate(Sum("quantity"))
    reserved: dict[int, int] = dict(rows)
    kept = KeptBack.objects.open().order_by().values_list("lot_id").annotate(Sum("quantity"))
    for lot_id, quantity in kept:
        reserved[lot_id] = reserved.get(lot_id, 0) + quantity
    for pk, lot in lots.items():
        yield from differ(f"{lot.code} in the yard", lot.on_hand, yard[pk])
        yield from differ(f"{lot.code} at sites", lot.at_sites, sites[pk])
        yield from differ(f"{lot.code} reserved", lot.reserved, reserved.get(pk, 0))


@dataclass(frozen=True)
class Drawn:
    """What one job drew of one lot (or with a minus brought back), and at what cost."""

    lot_id: int
    job_id: int
    quantity: int
    cost: Decimal


def drawn_by_jobs() -> list[Drawn]:
    """Return issues and returns by lot and job: one query."""
    rows = (
        Movement.objects.filter(posting__kind__in=COSTED)
        .order_by()
        .values_list("lot_id", "posting__job_id", "posting__kind")
        .annotate(Sum("quantity"), Sum("cost"))
    )
    found = []
    for lot_id, job_id, kind, quantity, cost in rows:
        sign = 1 if kind == PostingKind.ISSUE else -1
        found.append(Drawn(lot_id, job_id, sign * quantity, sign * (cost or ZERO)))
    return found


def costs_differ(lots: dict[int, Lot], drawn: Iterable[Drawn]) -> Iterable[Difference]:
    """Compare what jobs and split-off lots took of each lot with its units and its cost."""
    units: dict[int, int] = defaultdict(int)
    taken: dict[int, Decimal] = defaultdict(lambda: ZERO)
    for row in drawn:
        units[row.lot_id] += row.quantity
        taken[row.lot_id] += row.cost
    for lot in lots.values():
        if lot.parent_id is not None:
            units[lot.parent_id] += lot.received
            taken[lot.parent_id] += lot.cost
    for pk, lot in lots.items():
        yield from differ(f"{lot.code} costed", lot.costed, units[pk])
        if not ZERO <= taken[pk] <= lot.cost:
            yield Difference(f"{lot.code} cost", f"{lot.cost}", f"{taken[pk]} taken")


def entries_differ() -> Iterable[Difference]:
    """Compare each posting's costs with the entries that the jobs carry for it."""
    rows = (
        Movement.objects.filter(posting__kind__in=COSTED)
        .order_by()
        .values_list("posting_id")
        .annotate(
            out=Sum("cost", filter=Q(posting__kind=PostingKind.ISSUE)),
            back=Sum("cost", filter=Q(posting__kind=PostingKind.RETURN)),
        )
    )
    moved = {pk: (out or ZERO) - (back or ZERO) for pk, out, back in rows}
    entries = (
        CostEntry.objects.filter(source="stock.posting")
        .order_by()
        .values_list("source_id")
        .annotate(Sum("amount"))
    )
    posted: dict[int, Decimal] = dict(entries)
    for pk in sorted(moved.keys() | posted.keys()):
        yield from differ(
            f"cost of posting {pk} on its job", posted.get(pk, ZERO), moved.get(pk, ZERO)
        )


def issued_differ(lots: dict[int, Lot], drawn: Iterable[Drawn]) -> Iterable[Difference]:
    """Compare what jobs' requirements say was issued with the movements, by job and item."""
    moved: dict[tuple[int, int], int] = defaultdict(int)
    for row in drawn:
        moved[row.job_id, lots[row.lot_id].item_id] += row.quantity
    kept = (
        Requirement.objects.order_by()
        .values_list("job__reference", "item__name", "job_id", "item_id")
        .annotate(Sum("issued"))
    )
    for reference, name, job_id, item_id, issued in kept:
        what = f"{name} issued to {reference}"
        yield from differ(what, issued, max(moved[job_id, item_id], 0))
