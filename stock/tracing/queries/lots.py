"""Which lots belong together, where they came from, and the lists of lots and surfaces."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from django.db.models import Count, OuterRef, QuerySet, Subquery
from django.db.models.functions import Coalesce

from stock.catalogue.enums import ItemKind, PlaceKind
from stock.laying.models import LayBay, Mix
from stock.ledger.models import Lot, Movement
from stock.ordering.models import GoodsInLine
from stock.tracing.enums import SHARED_FIELD, Share


def shares_of(lot: Lot) -> list[Share]:
    """Return by what a lot can be looked into: itself, and the run or batches on its label."""
    return [
        share for share in Share
        if share == Share.LOT or getattr(lot, SHARED_FIELD[share]).strip()
    ]  # fmt: skip


def lots_like(lot: Lot, share: str) -> list[Lot]:
    """Return the lots that share this lot's run or batch, or the lot with what was split off it.

    A run is one of its item; a batch of part A or B may be in kits of several sizes.
    """
    rows = Lot.objects.select_related("item").order_by("received_on", "pk")
    if share == Share.LOT:
        return list(rows.filter(pk__in=with_parts({lot.pk})))
    field = SHARED_FIELD[share]
    same = rows.filter(**{f"{field}__iexact": getattr(lot, field)})
    if share == Share.RUN:
        return list(same.filter(item_id=lot.item_id))
    return list(same.filter(item__kind=ItemKind.KIT))


def with_parts(ids: set[int]) -> set[int]:
    """Return lots with all that was split off them, however often: a query for each depth."""
    found, fresh = set(ids), set(ids)
    while fresh:
        parts = Lot.objects.filter(parent_id__in=fresh).values_list("pk", flat=True)
        fresh = set(parts) - found
        found |= fresh
    return found


def subject_words(lot: Lot, share: str) -> str:
    """Return what is looked into, as a heading: 'run 26-0412 of Stone, 2–6 mm'."""
    if share == Share.LOT:
        return f"lot {lot.code} of {lot.item}"
    code = getattr(lot, SHARED_FIELD[share])
    return f"{Share(share).label} {code} of {lot.item}"


def came_from(lots: Collection[Lot]) -> dict[int, GoodsInLine]:
    """Return {lot id: the line of goods-in that brought it}, of split-off lots their parent's."""
    roots = {lot.pk: lot.parent_id or lot.pk for lot in lots}
    lines = (
        GoodsInLine.objects.filter(lot_id__in=set(roots.values()))
        .select_related("goods_in__order__supplier", "order_line")
        .order_by("pk")
    )
    by_lot = {line.lot_id: line for line in lines}
    return {pk: by_lot[root] for pk, root in roots.items() if root in by_lot}


def lots_for_list() -> QuerySet[Any]:
    """Return lots with `job_count`, the jobs whose surface has some of it, the latest first.

    What is counted is counted for the rows of a page only, however long the ledger is.
    """
    laid = Movement.objects.filter(lot=OuterRef("pk"), to_place__kind=PlaceKind.LAID).order_by()
    jobs = laid.values("lot").annotate(n=Count("posting__job", distinct=True)).values("n")
    line = GoodsInLine.objects.filter(lot=OuterRef("pk")).order_by("pk")
    return (
        Lot.objects.select_related("item")
        .annotate(
            job_count=Coalesce(Subquery(jobs), 0),
            supplier_name=Subquery(line.values("goods_in__order__supplier__name")[:1]),
        )
        .order_by("-received_on", "-pk")
    )


def surfaces_for_list() -> QuerySet[Any]:
    """Return bays with their standing mixes counted, the latest day first."""
    mixes = Mix.objects.standing().filter(bay=OuterRef("pk")).order_by()
    count = mixes.values("bay").annotate(n=Count("pk")).values("n")
    return (
        LayBay.objects.select_related("lay_day__job__site", "lay_day__job__customer", "blend")
        .annotate(mix_count=Coalesce(Subquery(count), 0))
        .order_by("-lay_day__day", "pk")
    )
