"""What stock was worth at the end of a day, how often it turns, and what nobody uses."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from django.db.models import F, Max, Q, Sum

from jobs.kernel.clock import at_wall, london_day
from jobs.kernel.money import ZERO
from stock.catalogue.enums import PlaceKind
from stock.catalogue.models import Item, Place
from stock.ledger.enums import PostingKind
from stock.ledger.models import Balance, Lot, Movement
from stock.ledger.rules import COUNTED, YARD, pack_words
from stock.valuation.rules import Turn, left_value, points_between, values_of_lot

# What uses stock; a count or a move from bay to bay does not.
USED = (
    PostingKind.RECEIVE, PostingKind.ISSUE, PostingKind.RETURN, PostingKind.LAY, PostingKind.WASTE,
)  # fmt: skip


def end_of(day: date) -> datetime:
    """Return the first instant after a day in London."""
    return at_wall(day + timedelta(days=1), time(0, 0))


# -- what lay where ------------------------------------------------------------------------------


def quantities_at(day: date, *, now: datetime) -> dict[tuple[int, int], int]:
    """Return {(lot id, place id): quantity} as the book stood at the end of a day.

    The balances of now, less what was booked since; so the figure of a past day does not change
    when something is booked for it later. Two queries, one for today.
    """
    rows = Balance.objects.filter(quantity__gt=0).values_list("lot_id", "place_id", "quantity")
    found = {(lot_id, place_id): quantity for lot_id, place_id, quantity in rows}
    if day >= london_day(now):
        return found
    since = Movement.objects.filter(posting__at__gte=end_of(day)).order_by()
    for lot_id, start, end, quantity in since.values_list(
        "lot_id", "from_place_id", "to_place_id"
    ).annotate(Sum("quantity")):
        found[lot_id, start] = found.get((lot_id, start), 0) + quantity
        found[lot_id, end] = found.get((lot_id, end), 0) - quantity
    return {spot: quantity for spot, quantity in found.items() if quantity}


@dataclass
class ValueRow:
    """One item in one place: how much lay there, of how many lots, and its worth.

    What lies at a site is charged to its job already, and is told apart.
    """

    item: Item
    place: Place
    quantity: int = 0
    lots: int = 0
    worth: Decimal = ZERO

    @property
    def packs(self) -> str:
        """How much, in packs."""
        return pack_words(self.quantity, self.item.pack_quantity, self.item.pack_name)

    @property
    def value(self) -> Decimal:
        """Worth of what lies in a bay or van."""
        return self.worth if self.place.kind in YARD else ZERO

    @property
    def with_jobs(self) -> Decimal:
        """Worth of what lies at a site."""
        return ZERO if self.place.kind in YARD else self.worth

    @property
    def text(self) -> str:
        """What a search looks into."""
        return f"{self.item.code} {self.item} {self.place} {self.place.kind}".lower()


@dataclass(frozen=True)
class Valuation:
    """Stock at the end of a day, by item and place."""

    day: date
    rows: list[ValueRow] = field(default_factory=list)

    @property
    def value(self) -> Decimal:
        """Worth of all that lay in bays and vans."""
        return sum((row.value for row in self.rows), ZERO)

    @property
    def with_jobs(self) -> Decimal:
        """Worth of all that lay at sites."""
        return sum((row.with_jobs for row in self.rows), ZERO)

    def of_kind(self, kind: str) -> Decimal:
        """Worth of what lay in places of one kind."""
        return sum((row.worth for row in self.rows if row.place.kind == kind), ZERO)


def value_at(day: date, *, now: datetime) -> Valuation:
    """Return what stock was worth at the end of a day, at its landed cost, exact to the penny."""
    there = quantities_at(day, now=now)
    places = {
        place.pk: place
        for place in Place.objects.filter(kind__in=COUNTED).select_related("job__site")
    }
    by_lot: dict[int, dict[int, int]] = defaultdict(dict)
    for (lot_id, place_id), quantity in there.items():
        if place_id in places:
            by_lot[lot_id][place_id] = quantity
    rows: dict[tuple[int, int], ValueRow] = {}
    for lot in lots_by_pk(by_lot):
        lying = by_lot[lot.pk]
        yard = {pk: n for pk, n in lying.items() if places[pk].kind in YARD}
        sites = {pk: n for pk, n in lying.items() if pk not in yard}
        for place_id, worth in values_of_lot(lot.cost, lot.received, yard, sites).items():
            spot = (lot.item_id, place_id)
            row = rows.setdefault(spot, ValueRow(lot.item, places[place_id]))
            row.quantity += lying[place_id]
            row.lots += 1
            row.worth += worth
    order = sorted(rows.values(), key=lambda row: (-row.value, -row.worth, row.item.name))
    return Valuation(day, order)


def lots_by_pk(ids: Iterable[int]) -> list[Lot]:
    """Return lots with their items, read a part at a time."""
    wanted = sorted(ids)
    return [
        lot
        for first in range(0, len(wanted), 5_000)
        for lot in Lot.objects.filter(pk__in=wanted[first : first + 5_000]).select_related("item")
    ]


# -- turns ---------------------------------------------------------------------------------------


@dataclass(frozen=True)
class ItemTurn:
    """How often one item turned."""

    item: Item
    turn: Turn

    @property
    def text(self) -> str:
        """What a search looks into."""
        return f"{self.item.code} {self.item} {self.item.kind}".lower()


def item_turns(first: date, last: date) -> list[ItemTurn]:
    """Return the turns of each item that lay in the yard or was issued in a period; four queries.

    The value is taken before the first day, at the end of each month and after the last day.
    """
    points = points_between(first, last)
    values = yard_values(points)
    issued: dict[int, Decimal] = defaultdict(lambda: ZERO)
    sums = (
        Movement.objects.filter(
            posting__at__gte=end_of(points[0]), posting__at__lt=end_of(last), cost__isnull=False
        )
        .order_by()
        .values_list("lot__item_id", "posting__kind")
        .annotate(Sum("cost"))
    )
    for item_id, kind, cost in sums:
        issued[item_id] += cost if kind == PostingKind.ISSUE else -cost
    days = (last - first).days + 1
    wanted = {pk for pk, row in values.items() if any(row)} | set(issued)
    items = Item.objects.in_bulk(wanted)
    nothing = [ZERO] * len(points)
    found = [
        ItemTurn(items[pk], Turn(issued[pk], tuple(values.get(pk, nothing)), days)) for pk in items
    ]
    return sorted(found, key=lambda row: (-row.turn.mean, row.item.name, row.item.pk))


def yard_values(points: Sequence[date]) -> dict[int, list[Decimal]]:
    """Return {item id: worth in bays and vans at the end of each day}, days in order: two queries.

    From now back: the movements after a point are taken off, the latest first.
    """
    lots = {lot.pk: lot for lot in Lot.objects.only("item_id", "cost", "received", "on_hand")}
    left = {pk: lot.on_hand for pk, lot in lots.items()}
    moves = (
        Movement.objects.filter(posting__at__gte=end_of(points[0]))
        .filter(Q(from_place__kind__in=YARD) | Q(to_place__kind__in=YARD))
        .order_by("-posting__at")
        .values_list("posting__at", "lot_id", "quantity", "from_place__kind", "to_place__kind")
    )
    values: dict[int, list[Decimal]] = defaultdict(lambda: [ZERO] * len(points))
    waiting = moves.iterator(chunk_size=5_000)
    move = next(waiting, None)
    for number in range(len(points) - 1, -1, -1):
        after = end_of(points[number])
        while move is not None and move[0] >= after:
            _, lot_id, quantity, start, end = move
            left[lot_id] += quantity * ((start in YARD) - (end in YARD))
            move = next(waiting, None)
        for pk, quantity in left.items():
            if quantity:
                lot = lots[pk]
                values[lot.item_id][number] += left_value(lot.cost, lot.received, quantity)
    return values


# -- dead stock ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class DeadLot:
    """A lot in the yard that nothing has used for long."""

    lot: Lot
    last_used: datetime
    idle_days: int
    value: Decimal
    expiry: date | None
    days_left: int | None

    @property
    def packs(self) -> str:
        """How much lies there."""
        item = self.lot.item
        return pack_words(self.lot.on_hand, item.pack_quantity, item.pack_name)

    @property
    def text(self) -> str:
        """What a search looks into."""
        lot = self.lot
        return (
            f"{lot.code} {lot.run} {lot.batch_a} {lot.batch_b} {lot.item} {lot.item.code}".lower()
        )

    @property
    def state(self) -> tuple[str, str]:
        """Level and word: when it dies."""
        if self.days_left is None:
            return "", "keeps"
        if self.days_left < 0:
            return "stop", "past its date"
        return ("look" if self.days_left <= 60 else ""), f"in {self.days_left} days"


def dead_stock(days: int, *, now: datetime) -> list[DeadLot]:
    """Return lots in the yard that came in or were used no later than `days` days ago.

    The dearest first; counts and moves from bay to bay do not count as use. One query.
    """
    today = london_day(now)
    rows: Any = (
        Lot.objects.filter(on_hand__gt=0)
        .annotate(used=Max("movements__posting__at", filter=Q(movements__posting__kind__in=USED)))
        .filter(used__lt=end_of(today - timedelta(days=days)))
        .select_related("item")
        .order_by(F("expiry").asc(nulls_last=True), "pk")
    )
    found = [
        DeadLot(
            lot=lot, last_used=lot.used, idle_days=(today - london_day(lot.used)).days,
            value=left_value(lot.cost, lot.received, lot.on_hand), expiry=lot.expiry,
            days_left=None if lot.expiry is None else (lot.expiry - today).days,
        )
        for lot in rows
    ]  # fmt: skip
    return sorted(found, key=lambda row: -row.value)


def by_place(valuation: Valuation, most: int = 8) -> list[tuple[str, Decimal]]:
    """Return (place, worth) for a drawing: the dearest, the rest together, sites as one."""
    sums: dict[str, Decimal] = defaultdict(lambda: ZERO)
    for row in valuation.rows:
        name = "sites" if row.place.kind == PlaceKind.SITE else str(row.place)
        sums[name] += row.worth
    order = sorted(sums.items(), key=lambda pair: -pair[1])
    rest = sum((worth for _, worth in order[most:]), ZERO)
    return order[:most] + ([("the rest", rest)] if order[most:] else [])
