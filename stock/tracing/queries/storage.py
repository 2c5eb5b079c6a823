"""Where lots lay in our yard, from when to when, and what was measured there meanwhile."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import Count, Max, Min, Q

from stock.catalogue.models import Place
from stock.conditions.models import ExcursionLot, Reading
from stock.conditions.queries import instant
from stock.conditions.rules.stays import stays_of
from stock.ledger.models import Lot, Movement
from stock.ledger.rules import YARD

# How many stays are asked for in one query; each takes three columns.
AT_ONCE = 60


@dataclass(frozen=True)
class LayIn:
    """A time in which some of a lot lay in a bay or van, and what was read there in it.

    `end` is None while it lies there; `low` and `high` are None without a reading.
    """

    lot_id: int
    place: Place
    start: datetime
    end: datetime | None
    low: Any = None
    high: Any = None
    readings: int = 0

    @property
    def words(self) -> str:
        """What was measured, in words."""
        if not self.readings:
            return "no reading"
        if self.low == self.high:
            return f"{self.low:.1f} °C, {self.readings} readings"
        return f"{self.low:.1f} to {self.high:.1f} °C, {self.readings} readings"


def storage_of(lots: Sequence[Lot], *, now: datetime) -> dict[int, list[LayIn]]:
    """Return {lot id: its stays in bays and vans, the first first}; a fixed number of queries."""
    stays = [
        (lot_id, place, stay)
        for (lot_id, place), changes in changes_in_yard(lots).items()
        for stay in stays_of(changes, end=now.timestamp())
    ]
    asked: list[tuple[int, Place, datetime, datetime]] = [
        (lot_id, place, instant(stay.start), instant(stay.end)) for lot_id, place, stay in stays
    ]
    read = [
        found
        for first in range(0, len(asked), AT_ONCE)
        for found in readings_in([row[1:] for row in asked[first : first + AT_ONCE]])
    ]
    found: dict[int, list[LayIn]] = defaultdict(list)
    for (lot_id, place, start, end), (low, high, count) in zip(asked, read, strict=True):
        lies = end.timestamp() >= now.timestamp()
        found[lot_id].append(LayIn(lot_id, place, start, None if lies else end, low, high, count))
    for rows in found.values():
        rows.sort(key=lambda row: (row.start.timestamp(), row.place.pk))
    return found


def changes_in_yard(lots: Sequence[Lot]) -> dict[tuple[int, Place], list[tuple[float, int]]]:
    """Return {(lot id, place): [(seconds, in or out)]} for bays and vans: one query."""
    rows = (
        Movement.objects.filter(lot__in=lots)
        .filter(Q(from_place__kind__in=YARD) | Q(to_place__kind__in=YARD))
        .select_related("from_place", "to_place", "posting")
        .order_by("posting__at", "pk")
    )
    changes: dict[tuple[int, Place], list[tuple[float, int]]] = defaultdict(list)
    for row in rows:
        at = row.posting.at.timestamp()
        for place, change in ((row.from_place, -row.quantity), (row.to_place, row.quantity)):
            if place.kind in YARD:
                changes[row.lot_id, place].append((at, change))
    return changes


def readings_in(spans: Sequence[tuple[Place, datetime, datetime]]) -> list[tuple[Any, Any, int]]:
    """Return (lowest, highest, how many) of the readings in each span: one query."""
    if not spans:
        return []
    wanted = Q()
    columns: dict[str, Any] = {}
    for number, (place, start, end) in enumerate(spans):
        inside = Q(place=place, at__gte=start, at__lte=end)
        wanted |= inside
        columns |= {
            f"low_{number}": Min("celsius", filter=inside),
            f"high_{number}": Max("celsius", filter=inside),
            f"count_{number}": Count("pk", filter=inside),
        }
    row = Reading.objects.used().order_by().filter(wanted).aggregate(**columns)
    return [
        (row[f"low_{number}"], row[f"high_{number}"], row[f"count_{number}"])
        for number in range(len(spans))
    ]


def excursions_by_lot(lots: Sequence[Lot]) -> dict[int, list[ExcursionLot]]:
    """Return {lot id: where it lay beyond its limits}: one query."""
    found: dict[int, list[ExcursionLot]] = defaultdict(list)
    rows = ExcursionLot.objects.filter(lot__in=lots).select_related("excursion__place")
    for row in rows.order_by("excursion__started_at", "pk"):
        found[row.lot_id].append(row)
    return found
