"""Conditions on the pages of a lot and of today."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, time
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from jobs.kernel.clock import at_wall, london_day
from jobs.kernel.panels import TodayEntry, panel, today_entry
from stock.conditions.enums import HoldCause
from stock.conditions.models import Excursion, ExcursionLot
from stock.conditions.queries import (
    excursions_of,
    kits_in_vans,
    photos_of,
    places_for_list,
    state_of,
)
from stock.ledger.models import Lot

VANS_AT = time(16, 30)


@panel("lot", 20, "jobs.view_yard")
def lot_conditions(request: HttpRequest, lot: Any) -> tuple[str, dict[str, Any]]:
    """What a held lot needs, its photos, and where it lay beyond its limits: two queries."""
    return "stock/conditions/lot_panel.html", {
        "lot": lot, "photos": photos_of(lot, request.user), "rows": excursions_of(lot),
        "cause": HoldCause.of(lot.held_reason),
    }  # fmt: skip


@today_entry("jobs.release_lot")
def excursions_to_answer(user: Any, now: datetime) -> Iterable[TodayEntry]:
    """Excursions that wait for an answer: one query."""
    for row in Excursion.objects.open().for_list():
        yield TodayEntry(
            at=None,
            title=f"Held: {row}",
            why=(
                f"{row.hours:.0f} h {row.get_side_display()} {row.limit_c} °C, "
                f"{row.hours_allowed} h allowed. Ask the maker before it is used."
            ),
            url=row.get_absolute_url(),
            button="Look at it",
            level="stop",
        )


@today_entry("jobs.move_stock")
def kits_in_vans_tonight(user: Any, now: datetime) -> Iterable[TodayEntry]:
    """Kits that would stay in vans overnight: one query."""
    loads = kits_in_vans()
    if loads:
        vans = ", ".join(dict.fromkeys(str(load.van) for load in loads))
        count = sum(load.quantity for load in loads)
        yield TodayEntry(
            at=at_wall(london_day(now), VANS_AT),
            title=f"{count} {'kit' if count == 1 else 'kits'} still in vans",
            why=f"In {vans}. A van is too cold or too hot for resin at night.",
            url=reverse("conditions:vans"),
            button="Bring them in",
            level="look",
        )


@today_entry("jobs.move_stock")
def places_without_reading(user: Any, now: datetime) -> Iterable[TodayEntry]:
    """Places that hold what has limits and were not read for longer than their gap: one query."""
    silent = [
        row.name
        for row in places_for_list()
        if state_of(row, now)[1] in {"no reading yet", "no fresh reading"}
    ]
    if silent:
        yield TodayEntry(
            at=None,
            title=f"No fresh reading: {', '.join(silent[:4])}"
            + (f" and {len(silent) - 4} more" if len(silent) > 4 else ""),
            why="What lies there has limits, and nothing is known of these hours.",
            url=reverse("conditions:list"),
            button="Add a reading",
            level="look",
        )


@today_entry("jobs.release_lot")
def held_lots(user: Any, now: datetime) -> Iterable[TodayEntry]:
    """One line for lots that wait to be looked at, but for those that an open excursion names."""
    said = ExcursionLot.objects.filter(excursion__answered_at=None).exclude(held_reason="")
    rows = Lot.objects.held().in_stock().exclude(pk__in=said.values("lot_id"))
    held = list(rows.select_related("item").order_by("pk")[:21])
    if not held:
        return []
    named = ", ".join(f"{lot.code} ({lot.held_reason})" for lot in held[:3])
    more = " and more" if len(held) > 3 else ""
    many = len(held) > 1
    return [
        TodayEntry(
            at=None, title=f"{len(held)} lots are held" if many else f"{held[0].code} is held",
            why=f"{named}{more}", url=f"{reverse('ledger:list')}?status=held"
            if many else held[0].get_absolute_url(),
            button="Look at it" if not many else "Look at them", level="look",
        )
    ]  # fmt: skip
