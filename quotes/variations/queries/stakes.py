"""What of omitted material is ordered, reserved or on site for the job."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django.db.models import Sum

from jobs.kernel.money import ZERO
from jobs.work.models import Job
from quotes.variations.rules import Held, Stake, stake
from quotes.variations.rules.parts import stock_of
from stock.allocation.models import Requirement
from stock.catalogue.models import Item
from stock.ordering.enums import OrderState
from stock.ordering.models import OrderLine


def stakes_of(job: Job, lines: Sequence[Any]) -> list[Stake]:
    """Return what becomes of the material that lines leave out; four queries at most."""
    omitted: dict[tuple[int, str, str], int] = {
        spot: -quantity for spot, quantity in stock_of(lines).items() if quantity < 0
    }
    if not omitted:
        return []
    items = {item.pk: item for item in Item.objects.filter(pk__in={spot[0] for spot in omitted})}
    needs = _needs_of(job)
    ordered = _ordered_for(job)
    costs = _cost_each(lines)
    found = []
    for spot, quantity in sorted(omitted.items()):
        item, need = items[spot[0]], needs.get(spot)
        found.append(stake(Held(
            item_id=item.pk, name=str(item), omitted=quantity,
            required=need.quantity if need else 0,
            reserved=need.kept if need else 0, issued=need.issued if need else 0,
            ordered=ordered.get(spot[:2], 0), run_matched=item.run_matched,
            cost_each=costs.get(item.pk, ZERO), unit=item.base_unit,
        )))  # fmt: skip
    return found


def _needs_of(job: Job) -> dict[tuple[int, str, str], Any]:
    rows = Requirement.objects.filter(job=job, closed_at=None)
    kept = rows.annotate(kept=Sum("reservations__quantity", default=0))
    return {(row.item_id, row.colour_group, row.phase): row for row in kept}


def _ordered_for(job: Job) -> dict[tuple[int, str], int]:
    """Return (item, colour group) -> base units that came in or are to come on the job's orders."""
    lines = OrderLine.objects.filter(job=job, order__state__in=(*OrderState.OPEN, "received"))
    found: dict[tuple[int, str], int] = {}
    for line in lines.select_related("item"):
        spot = (line.item_id, line.colour_group)
        found[spot] = found.get(spot, 0) + line.accepted + line.outstanding
    return found


def _cost_each(lines: Sequence[Any]) -> dict[int, Decimal]:
    return {
        row["item"]: abs(Decimal(row["cost"]) / row["quantity"])
        for line in lines for row in line.stock if row["quantity"] < 0
    }  # fmt: skip
