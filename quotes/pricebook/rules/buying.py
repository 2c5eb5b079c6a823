"""From whom to buy what a job needs: price breaks, and the carriage of each order once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from jobs.kernel.money import ZERO, round_line
from quotes.pricebook.rules.prices import PackPrice, in_force

# So many ways are tried at most; the best of them stands then, and the plan says so.
MOST_TRIED = 20_000


@dataclass(frozen=True)
class Carriage:
    """What a supplier charges to bring an order of one kind, in £ before VAT.

    minimum: the least goods he takes an order for; free_from: goods from which he brings it free.
    """

    price: Decimal
    minimum: Decimal = ZERO
    free_from: Decimal | None = None

    def on(self, goods: Decimal) -> Decimal:
        """Return the carriage of an order of these goods, whatever its least order."""
        return ZERO if self.free_from is not None and goods >= self.free_from else self.price


@dataclass(frozen=True)
class Want:
    """So many packs of an item."""

    item_id: int
    packs: int


@dataclass(frozen=True)
class Bought:
    """Packs of an item from one supplier: `packs` may be more than `needed`, for a break."""

    item_id: int
    needed: int
    packs: int
    price: PackPrice

    @property
    def cost(self) -> Decimal:
        """What they cost, in whole pence."""
        return round_line(self.packs * self.price.pack_price)


@dataclass(frozen=True)
class Plan:
    """What is bought where. `carriage` by supplier; `short`: those whose least order it misses.

    Items that nobody has a price for are not in it. `tried_all` is False where there were too many
    ways to try each.
    """

    bought: tuple[Bought, ...] = ()
    carriage: Mapping[int, Decimal] = field(default_factory=dict)
    short: tuple[str, ...] = ()
    tried_all: bool = True

    @property
    def goods(self) -> Decimal:
        """The packs without carriage."""
        return sum((each.cost for each in self.bought), ZERO)

    @property
    def total(self) -> Decimal:
        """Packs and carriage."""
        return self.goods + sum(self.carriage.values(), ZERO)

    def of(self, item_id: int) -> Bought | None:
        """Return how an item is bought, None where nobody has a price for it."""
        return next((each for each in self.bought if each.item_id == item_id), None)


def carriage_on(goods: Decimal, ways: Sequence[Carriage]) -> tuple[Decimal, bool]:
    """Return (the cheapest carriage of an order of these goods, whether a least order is met).

    No ways known: nothing is charged. No least order met: the carriage of the lowest one.
    """
    if not ways:
        return ZERO, True
    met = [way for way in ways if way.minimum <= goods]
    if met:
        return min(way.on(goods) for way in met), True
    nearest = min(way.minimum for way in ways)
    return min(way.on(goods) for way in ways if way.minimum == nearest), False


def offers_of(want: Want, prices: Iterable[PackPrice], day: date) -> tuple[Bought, ...]:
    """Return every way to buy an item: of each supplier just what is needed, or up to a break.

    The price of the break that a quantity reaches counts for all its packs. More packs than are
    needed are bought only to reach a break. The cheapest comes first.
    """
    breaks: dict[int, list[PackPrice]] = {}
    for price in in_force(prices, day):
        breaks.setdefault(price.supplier_id, []).append(price)
    found = []
    for own in breaks.values():
        counts = {want.packs} | {each.from_packs for each in own if each.from_packs > want.packs}
        for packs in counts:
            reached = [each for each in own if each.from_packs <= max(packs, 1)]
            if reached:
                price = max(reached, key=lambda each: each.from_packs)
                found.append(Bought(want.item_id, want.packs, packs, price))
    return tuple(sorted(found, key=lambda each: (each.cost, each.price.supplier, each.packs)))


def cheapest_plan(
    wants: Iterable[Want],
    prices: Mapping[int, Sequence[PackPrice]],
    ways: Mapping[int, Sequence[Carriage]],
    day: date,
) -> Plan:
    """Return where to buy all of it so that packs and carriage together cost least on `day`.

    prices: by item; ways: by supplier. One item comes from one supplier. A plan that meets every
    least order wins over a cheaper one that does not. Of equal plans the one with the cheaper
    packs of the first item stands.
    """
    offered = [offers_of(want, prices.get(want.item_id, ()), day) for want in wants if want.packs]
    wanted = [_worth_trying(each, ways) for each in offered if each]
    if not wanted:
        return Plan()
    return _Search(wanted, ways).best()


def _worth_trying(
    offers: tuple[Bought, ...], ways: Mapping[int, Sequence[Carriage]]
) -> tuple[Bought, ...]:  # fmt: skip
    """Leave out a supplier's dearer quantities, unless more goods may make his order cheaper."""
    kept: list[Bought] = []
    for offer in offers:
        supplier = offer.price.supplier_id
        known = any(each.price.supplier_id == supplier for each in kept)
        steps = any(way.minimum or way.free_from is not None for way in ways.get(supplier, ()))
        if not known or steps:
            kept.append(offer)
    return tuple(kept)


class _Search:
    """Depth first over the items; a branch ends where what it costs at least is no better."""

    def __init__(
        self, offers: Sequence[tuple[Bought, ...]], ways: Mapping[int, Sequence[Carriage]]
    ) -> None:
        self.offers, self.ways = offers, ways
        least = [each[0].cost for each in offers]
        self.rest = [sum(least[n:], ZERO) for n in range(len(least) + 1)]
        self.tried = 0
        self.found: Plan | None = None

    def best(self) -> Plan:
        """Return the best plan found."""
        self._look((), ZERO)
        found = self.found or Plan()
        whole = self.tried < MOST_TRIED
        return Plan(found.bought, found.carriage, found.short, whole)

    def _look(self, chosen: tuple[Bought, ...], goods: Decimal) -> None:
        if self.found is not None and self.tried >= MOST_TRIED:
            return
        self.tried += 1
        least = goods + self.rest[len(chosen)] + self._carriage_at_least(chosen)
        if self.found is not None and not self.found.short and least >= self.found.total:
            return
        if len(chosen) == len(self.offers):
            self._weigh(chosen)
            return
        for offer in self.offers[len(chosen)]:
            self._look((*chosen, offer), goods + offer.cost)

    def _carriage_at_least(self, chosen: tuple[Bought, ...]) -> Decimal:
        total = ZERO
        for supplier in {each.price.supplier_id for each in chosen}:
            ways = self.ways.get(supplier, ())
            if ways and not any(way.free_from is not None for way in ways):
                total += min(way.price for way in ways)
        return total

    def _weigh(self, chosen: tuple[Bought, ...]) -> None:
        goods: dict[int, Decimal] = {}
        names: dict[int, str] = {}
        for each in chosen:
            supplier = each.price.supplier_id
            goods[supplier] = goods.get(supplier, ZERO) + each.cost
            names[supplier] = each.price.supplier
        asked = {key: carriage_on(value, self.ways.get(key, ())) for key, value in goods.items()}
        short = tuple(sorted(names[key] for key, (_, met) in asked.items() if not met))
        plan = Plan(chosen, {key: price for key, (price, _) in asked.items()}, short)
        known = self.found
        if known is None or (len(short), plan.total) < (len(known.short), known.total):
            self.found = plan
