"""Places with their latest reading, what the readings of a place say, and what lay there."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import Exists, Max, Min, OuterRef, Q, QuerySet, Subquery

from jobs.attachments.models import Attachment
from jobs.attachments.queries import attachments_of
from stock.catalogue.enums import ItemKind, PlaceKind
from stock.catalogue.models import Item, Place
from stock.conditions.models import USUAL_GAP_HOURS, Excursion, ExcursionLot, Reading, Watch
from stock.conditions.rules.series import (
    HOUR,
    Kept,
    Sample,
    gaps_of,
    hours_of,
    keep_good,
    stretches_beyond,
)
from stock.conditions.rules.states import place_state
from stock.ledger.models import Balance, Lot, Movement
from stock.ledger.rules import pack_words

LIMITED = Q(store_low_c__isnull=False) | Q(store_high_c__isnull=False)


def instant(seconds: float) -> datetime:
    """Return the instant of a rule's seconds."""
    return datetime.fromtimestamp(seconds, tz=UTC)


def samples_of(readings: Iterable[tuple[datetime, Decimal]]) -> list[Sample]:
    """Return (instant, °C) as the rules reckon with them."""
    return [Sample(at.timestamp(), float(value)) for at, value in readings]


def limit_of(item: Item, side: str) -> Decimal | None:
    """Return an item's limit on one side, None where it has none."""
    return item.store_high_c if side == "high" else item.store_low_c


def gap_hours_of(place: Place) -> int:
    """Return how far apart two readings of a place may be before the time between is a gap."""
    found = Watch.objects.filter(place=place).values_list("gap_hours", flat=True).first()
    return found or USUAL_GAP_HOURS


# -- the list of places --------------------------------------------------------------------------


def places_for_list() -> QuerySet[Place]:
    """Return bays and vans with their latest reading and the tightest limits of what lies there.

    Adds `latest_at`, `latest_c`, `latest_rh`, `high`, `low`, `gap_hours` and `is_open`.
    """
    latest = Reading.objects.used().filter(place=OuterRef("pk")).order_by("-at")
    lying = Balance.objects.filter(place=OuterRef("pk"), quantity__gt=0).order_by()
    watch = Watch.objects.filter(place=OuterRef("pk"))
    return (
        Place.objects.own()
        .filter(archived_at=None)
        .annotate(
            latest_at=Subquery(latest.values("at")[:1]),
            latest_c=Subquery(latest.values("celsius")[:1]),
            latest_rh=Subquery(latest.values("humidity")[:1]),
            high=Subquery(
                lying.values("place").annotate(x=Min("lot__item__store_high_c")).values("x")
            ),
            low=Subquery(
                lying.values("place").annotate(x=Max("lot__item__store_low_c")).values("x")
            ),
            gap_hours=Subquery(watch.values("gap_hours")[:1]),
            is_open=Exists(Excursion.objects.open().filter(place=OuterRef("pk"))),
        )
        .order_by("kind", "near", "name", "pk")
    )


def state_of(row: Any, now: datetime) -> tuple[str, str]:
    """Return (level, word) of a place that `places_for_list` read."""
    return place_state(
        now=now, latest_at=row.latest_at, latest_c=as_float(row.latest_c), low=as_float(row.low),
        high=as_float(row.high), gap_hours=row.gap_hours or USUAL_GAP_HOURS, is_open=row.is_open,
    )  # fmt: skip


def as_float(value: Decimal | None) -> float | None:
    return None if value is None else float(value)


# -- one place -----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Exposure:
    """An item that lies in a place: its limits, and its hours beyond them in the time shown."""

    item: Item
    above: float | None
    below: float | None

    @property
    def is_over(self) -> bool:
        """Return whether either passes the hours allowed."""
        return max(self.above or 0.0, self.below or 0.0) > self.item.store_hours_allowed


@dataclass(frozen=True)
class PlaceSeries:
    """The readings of a place in a time: kept and left out, gaps, and humidity."""

    start: datetime
    end: datetime
    gap_hours: int
    kept: Kept
    gaps: tuple[tuple[datetime, datetime], ...]
    humidity: tuple[tuple[datetime, float], ...]

    @property
    def gap_total(self) -> float:
        """Return the hours of all gaps."""
        return sum(b.timestamp() - a.timestamp() for a, b in self.gaps) / HOUR


def series_of(place: Place, start: datetime, end: datetime) -> PlaceSeries:
    """Return what the readings of a place say between two instants: two queries."""
    gap = gap_hours_of(place)
    # A reading before the window tells of its first hours.
    rows = list(
        Reading.objects.used()
        .of_place(place, start - timedelta(hours=gap), end)
        .values_list("at", "celsius", "humidity")
    )
    kept = keep_good(samples_of((at, celsius) for at, celsius, _ in rows))
    gaps = gaps_of(kept.good, gap_hours=gap, start=start.timestamp(), end=end.timestamp())
    return PlaceSeries(
        start, end, gap, kept, tuple((instant(a), instant(b)) for a, b in gaps),
        tuple((at, float(rh)) for at, _, rh in rows if rh is not None and at >= start),
    )  # fmt: skip


def items_in(place: Place) -> list[Item]:
    """Return the items with limits of which something lies in a place now."""
    return list(
        Item.objects.filter(
            LIMITED, lots__balances__place=place, lots__balances__quantity__gt=0
        )
        .distinct()
        .order_by("kind", "name", "pk")
    )  # fmt: skip


def exposures(series: PlaceSeries, items: Iterable[Item]) -> list[Exposure]:
    """Return the hours beyond each item's limits in the time shown; no query."""
    start, end = series.start.timestamp(), series.end.timestamp()

    def hours(limit: Decimal | None, *, high: bool) -> float | None:
        if limit is None:
            return None
        return hours_of(
            stretches_beyond(
                series.kept.good, float(limit), high=high, gap_hours=series.gap_hours,
                start=start, end=end,
            )
        )  # fmt: skip

    return [
        Exposure(item, hours(item.store_high_c, high=True), hours(item.store_low_c, high=False))
        for item in items
    ]


# -- what lay there ------------------------------------------------------------------------------


def lots_since(place: Place, since: datetime) -> list[Lot]:
    """Return lots with limits that lie in a place or were moved in or out of it since."""
    lying = Balance.objects.filter(place=place, quantity__gt=0)
    moved = Movement.objects.filter(
        Q(from_place=place) | Q(to_place=place), posting__at__gte=since
    )  # fmt: skip
    return list(
        Lot.objects.filter(
            Q(pk__in=lying.values("lot_id")) | Q(pk__in=moved.values("lot_id")),
            item__in=Item.objects.filter(LIMITED),
        )
        .select_related("item")
        .order_by("pk")
    )


def changes_of(place: Place, lots: Sequence[Lot]) -> dict[int, list[tuple[float, int]]]:
    """Return for each lot its (seconds, quantity in or out) in a place, in the ledger's order."""
    moves = (
        Movement.objects.filter(Q(from_place=place) | Q(to_place=place), lot__in=lots)
        .order_by("posting__at", "pk")
        .values_list("lot_id", "quantity", "to_place_id", "posting__at")
    )
    changes: dict[int, list[tuple[float, int]]] = defaultdict(list)
    for lot_id, quantity, to_id, at in moves:
        changes[lot_id].append((at.timestamp(), quantity if to_id == place.pk else -quantity))
    return changes


# -- vans in the evening, photos, a lot's excursions ---------------------------------------------


@dataclass(frozen=True)
class VanLoad:
    """Kits of one lot that are in a van."""

    van: Place
    lot: Lot
    quantity: int

    @property
    def words(self) -> str:
        """Return how many, as people count them."""
        item = self.lot.item
        return pack_words(self.quantity, item.pack_quantity, item.pack_name)


def kits_in_vans() -> list[VanLoad]:
    """Return the kits that are in vans, by van: one query."""
    rows = (
        Balance.objects.filter(
            place__kind=PlaceKind.VAN, lot__item__kind=ItemKind.KIT, quantity__gt=0
        )
        .select_related("place", "lot__item")
        .order_by("place__near", "place__name", "place_id", "lot__item__name", "lot_id")
    )
    return [VanLoad(row.place, row.lot, row.quantity) for row in rows]


def photos_of(lot: Lot, user: Any) -> list[Attachment]:
    """Return the photos and papers of a lot that this user may see: one query."""
    return [file for file in attachments_of(lot) if user.has_perm(file.permission)]


def excursions_of(lot: Lot) -> list[ExcursionLot]:
    """Return where and for how long a lot lay beyond its limits, the latest first: one query."""
    return list(
        ExcursionLot.objects.filter(lot=lot)
        .select_related("excursion__place", "excursion__item")
        .order_by("-excursion__started_at", "-pk")
    )
