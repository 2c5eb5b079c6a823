"""What may be bought from whom: price breaks, carriage, and the plan of one purchase."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import cached_property

from jobs.kernel.money import ZERO, round_line
from quotes.pricebook.rules.prices import PackPrice, in_force


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
    """Packs of an item from one supplier.

    `packs` may be more than `needed`, for a break or for free carriage; `plain` is what just the
    needed packs would cost there, None where he does not sell so few.
    """

    item_id: int
    needed: int
    packs: int
    price: PackPrice
    plain: Decimal | None = None

    @property
    def cost(self) -> Decimal:
        """What they cost, in whole pence."""
        return round_line(self.packs * self.price.pack_price)

    @property
    def left(self) -> int:
        """Packs that stay in the yard."""
        return self.packs - self.needed

    @property
    def for_break(self) -> bool:
        """Whether the further packs pay by their price alone, and not by the carriage."""
        return self.left > 0 and (self.plain is None or self.cost < self.plain)


@dataclass(frozen=True)
class Plan:
    """What is bought where. `carriage` by supplier; `short`: those whose least order it misses.

    Items that nobody has a price for are not in it. `tried_all` is False where there were too many
    ways to prove that none is cheaper.
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

    No ways known: nothing is charged. No least order met: the carriage of the lowest one. More
    goods never cost more carriage.
    """
    if not ways:
        return ZERO, True
    met = [way for way in ways if way.minimum <= goods]
    if met:
        return min(way.on(goods) for way in met), True
    nearest = min(way.minimum for way in ways)
    return min(way.on(goods) for way in ways if way.minimum == nearest), False


@dataclass(frozen=True)
class Offer:
    """A supplier's prices of an item by break, smallest first, and how many packs are needed.

    Costs are whole pence here, so that the search adds whole numbers only.
    """

    item_id: int
    needed: int
    breaks: tuple[PackPrice, ...]

    @property
    def supplier_id(self) -> int:
        """Whose offer it is."""
        return self.breaks[0].supplier_id

    def price_of(self, packs: int) -> PackPrice | None:
        """Return the price of the break that a quantity reaches; None where he sells no so few."""
        reached = [each for each in self.breaks if each.from_packs <= max(packs, 1)]
        return reached[-1] if reached else None

    def pence(self, packs: int) -> int | None:
        """Return what so many packs cost, None where he sells no so few."""
        price = self.price_of(packs)
        return None if price is None else pence_of(round_line(packs * price.pack_price))

    def starts(self) -> list[int]:
        """Return the needed packs, where he sells so few, and the breaks beyond."""
        more = [each.from_packs for each in self.breaks if each.from_packs > self.needed]
        return ([self.needed] if self.price_of(self.needed) else []) + more

    @cached_property
    def cheapest(self) -> tuple[int, int]:
        """(pence, packs) of the quantity that costs least by itself, the fewest of equal."""
        return min((self.pence(packs) or 0, packs) for packs in self.starts())

    def bought(self, packs: int) -> Bought:
        """Return the purchase of so many packs."""
        price, plain = self.price_of(packs), self.price_of(self.needed)
        assert price is not None  # noqa: S101 - only quantities he sells are bought
        cost = None if plain is None else round_line(self.needed * plain.pack_price)
        return Bought(self.item_id, self.needed, packs, price, cost)


def offers_of(want: Want, prices: Iterable[PackPrice], day: date) -> tuple[Offer, ...]:
    """Return each supplier's offer of an item on `day`, the cheapest by itself first.

    The price of the break that a quantity reaches counts for all its packs.
    """
    own: dict[int, list[PackPrice]] = {}
    for price in in_force(prices, day):
        own.setdefault(price.supplier_id, []).append(price)
    found = [
        Offer(want.item_id, want.packs, tuple(sorted(each, key=lambda price: price.from_packs)))
        for each in own.values()
    ]
    return tuple(sorted(found, key=lambda each: (*each.cheapest, each.breaks[0].supplier)))


def pence_of(amount: Decimal) -> int:
    """Return pounds as whole pence, half up."""
    return int(round_line(amount) * 100)
