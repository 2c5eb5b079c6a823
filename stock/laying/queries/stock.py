"""What lies at a job's site, what became of it, and the trace from lots to surfaces and back."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.db.models import Q, Sum

from stock.catalogue.enums import ItemKind, PlaceKind
from stock.laying.enums import MixState
from stock.laying.models import Mix
from stock.laying.querysets import MixQuerySet
from stock.laying.rules import SiteLot
from stock.ledger.enums import LotStatus, PostingKind
from stock.ledger.models import Balance, Lot, Movement

# What mixes are made of; the rest (primer, edging) is used without being logged.
MIXED = (ItemKind.KIT.value, ItemKind.STONE.value, ItemKind.FILLER.value)


def site_lots(job_id: int, item_ids: Collection[int] | None = None) -> list[SiteLot]:
    """Return what lies at a job's site, of some items or of all: one query."""
    rows = Balance.objects.filter(place__job_id=job_id, quantity__gt=0).select_related("lot")
    if item_ids is not None:
        rows = rows.filter(lot__item_id__in=item_ids)
    return [
        SiteLot(
            row.lot_id, row.lot.item_id, row.quantity, row.lot.expiry, row.lot.received_on,
            row.lot.status == LotStatus.HELD,
        )
        for row in rows.order_by("lot_id")
    ]  # fmt: skip


@dataclass(frozen=True)
class LotBalance:
    """What a job drew of a lot and what became of it, in base units."""

    lot: Lot
    drawn: int
    logged: int
    back: int
    waste: int
    counted: int

    @property
    def left(self) -> int:
        """What lies at the site by the book."""
        return self.drawn - self.logged - self.back - self.waste - self.counted

    @property
    def is_mixed(self) -> bool:
        """Whether mixes are made of it, so that none of it may be lost silently."""
        return self.lot.item.kind in MIXED


def evening_balance(job_id: int) -> list[LotBalance]:
    """Return for every lot that came to a job's site what became of it: two queries.

    An undone issue was never drawn and an undone return never came back.
    """
    # long because: one query with its six sums
    kinds = PostingKind
    undone = Q(posting__reverses__isnull=False)
    to_site, from_site = Q(to_place__job_id=job_id), Q(from_place__job_id=job_id)
    ways = {
        "issued": to_site & Q(posting__kind=kinds.ISSUE) & ~undone,
        "unissued": from_site & Q(posting__kind=kinds.RETURN) & undone,
        "laid": from_site & Q(posting__kind=kinds.LAY),
        "unlaid": to_site & Q(posting__kind=kinds.LAY),
        "returned": from_site & Q(posting__kind=kinds.RETURN) & ~undone,
        "unreturned": to_site & Q(posting__kind=kinds.ISSUE) & undone,
        "wasted": from_site & Q(posting__kind=kinds.WASTE),
        "unwasted": to_site & Q(posting__kind=kinds.WASTE),
        "missed": from_site & Q(posting__kind=kinds.COUNT),
        "found": to_site & Q(posting__kind=kinds.COUNT),
    }
    sums = {
        row["lot_id"]: row
        for row in Movement.objects.filter(to_site | from_site)
        .order_by()
        .values("lot_id")
        .annotate(**{name: Sum("quantity", filter=way) for name, way in ways.items()})
    }
    lots = Lot.objects.filter(pk__in=sums).select_related("item")

    def net(lot: Lot, more: str, less: str) -> int:
        row: Mapping[str, Any] = sums[lot.pk]
        return (row[more] or 0) - (row[less] or 0)

    return [
        LotBalance(
            lot, net(lot, "issued", "unissued"), net(lot, "laid", "unlaid"),
            net(lot, "returned", "unreturned"), net(lot, "wasted", "unwasted"),
            net(lot, "missed", "found"),
        )
        for lot in by_kind(lots)
    ]  # fmt: skip


def by_kind(lots: Iterable[Lot]) -> list[Lot]:
    """Return lots as a crew thinks of them: kits, stone, filler, then the rest; by name, use-by."""
    order = {kind: place for place, kind in enumerate(MIXED)}
    return sorted(
        lots,
        key=lambda lot: (
            order.get(lot.item.kind, len(order)), lot.item.name, lot.expiry or date.max, lot.pk,
        ),
    )  # fmt: skip


def mixes_of_lot(lot: Lot) -> MixQuerySet:
    """Return the mixes of a lot that were laid, with day, job, site, bay and blend."""
    return (
        Mix.objects.filter(state=MixState.LAID, posting__movements__lot=lot)
        .select_related("lay_day__job__site", "bay", "blend")
        .order_by("lay_day__day", "lay_day_id", "number")
        .distinct()
    )


@dataclass(frozen=True)
class LaidLot:
    """So many base units of a lot that lie in a job's surface."""

    lot: Lot
    quantity: int


def lots_of_job(job_id: int) -> list[LaidLot]:
    """Return what a job's surface is made of, lot by lot: two queries."""
    sums = (
        Movement.objects.filter(posting__job_id=job_id, posting__kind=PostingKind.LAY)
        .order_by()
        .values("lot_id")
        .annotate(
            laid=Sum("quantity", filter=Q(to_place__kind=PlaceKind.LAID)),
            unlaid=Sum("quantity", filter=Q(from_place__kind=PlaceKind.LAID)),
        )
    )
    laid = {row["lot_id"]: (row["laid"] or 0) - (row["unlaid"] or 0) for row in sums}
    lots = Lot.objects.filter(pk__in=laid).select_related("item")
    return [LaidLot(lot, laid[lot.pk]) for lot in by_kind(lots) if laid[lot.pk] > 0]
