"""What of a delivery can be claimed for, and what it is worth."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal

from django.db.models import QuerySet

from jobs.kernel.money import ZERO, round_line
from stock.claims.models import Claim
from stock.ordering.enums import Outcome
from stock.ordering.models import GoodsIn, GoodsInLine

CLAIMABLE = (Outcome.HELD, Outcome.REFUSED, Outcome.SHORT)


def claimable_lines(goods_in: GoodsIn) -> list[GoodsInLine]:
    """Return the lines of a delivery that were short, refused or held and are in no claim."""
    rows = goods_in.lines.filter(outcome__in=CLAIMABLE, claims=None)
    return list(rows.select_related("order_line__item", "lot"))


def worth_of(lines: Iterable[GoodsInLine]) -> Decimal:
    """Return what lines cost at the order's prices, without carriage and VAT."""
    return sum(
        (
            round_line(line.order_line.pack_price * line.order_line.item.packs(line.quantity))
            for line in lines
        ),
        ZERO,
    )


def unclaimed() -> QuerySet[GoodsIn]:
    """Return deliveries with refused, held or missing goods for which nobody has claimed yet."""
    wanted = GoodsInLine.objects.filter(outcome__in=CLAIMABLE, claims=None)
    return (
        GoodsIn.objects.filter(pk__in=wanted.values("goods_in_id"), undone_at=None)
        .exclude(claims__isnull=False)
        .select_related("order__supplier")
        .order_by("claim_by", "pk")
    )


def claims_of(goods_in_ids: Iterable[int]) -> list[Claim]:
    """Return the claims of some deliveries, the first first."""
    rows = Claim.objects.filter(goods_in_id__in=list(goods_in_ids)).order_by("opened_at", "pk")
    return list(rows.select_related("goods_in"))
