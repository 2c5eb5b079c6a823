"""What will be past its date before a job uses it, and which jobs could still take it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection
from datetime import date, timedelta

from django.db.models import F, QuerySet

from stock.allocation.models import Requirement, Reservation
from stock.allocation.queries import OpenNeed, as_needs, use_day
from stock.ledger.models import Lot


def dying_for_list() -> QuerySet[Lot]:
    """Return released lots with a date with something free (`free_now`), the soonest first."""
    return (
        Lot.objects.released()
        .filter(on_hand__gt=F("reserved"), expiry__isnull=False)
        .with_free()
        .select_related("item")
        .order_by("expiry", "pk")
    )


def last_day_of_use(lot: Lot) -> date | None:
    """Return the last day on which a lot may be laid: its date less the item's days to spare."""
    return lot.expiry and lot.expiry - timedelta(days=lot.item.expiry_margin_days)


def jobs_that_could_take(lots: Collection[Lot], today: date) -> dict[int, list[OpenNeed]]:
    """Return {lot: needs that it could still serve}, by the day of use: three queries.

    A need that lacks the item, or that holds a lot of a later date and could swap; the material is
    used in time on the last day of its phase (unbooked, on a day guessed ahead).
    """
    rows = Requirement.objects.still_wanted().for_needs()
    needs = as_needs(rows.filter(item_id__in={lot.item_id for lot in lots}))
    latest: dict[int, date] = {}
    held = Reservation.objects.filter(
        requirement_id__in=[need.requirement.pk for need in needs], lot__expiry__isnull=False
    )
    for requirement_id, expiry in held.values_list("requirement_id", "lot__expiry"):
        if expiry is not None:
            latest[requirement_id] = max(expiry, latest.get(requirement_id, expiry))
    found: dict[int, list[OpenNeed]] = defaultdict(list)
    for lot in lots:
        last = last_day_of_use(lot)
        if last is None:
            continue
        for need in needs:
            later = latest.get(need.requirement.pk)
            wants = need.short > 0 or (later is not None and lot.expiry and later > lot.expiry)
            if need.item.pk == lot.item_id and wants and use_day(need, today) <= last:
                found[lot.pk].append(need)
        found[lot.pk].sort(key=lambda need: (use_day(need, today), need.job.pk))
    return found
