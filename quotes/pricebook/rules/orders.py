"""One supplier's order: carriage by goods, and how many packs of each item cost least in all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from quotes.pricebook.rules.buying import Carriage, Offer, carriage_on, pence_of

# Quantities of one item that are tried to bring an order free.
MOST_QUANTITIES = 150


@dataclass(frozen=True)
class Order:
    """One supplier's order: pence with carriage, what of it is carriage, packs by item number."""

    total: int
    carriage: int
    short: int
    packs: Mapping[int, int]


class Supplier:
    """A supplier's offers by item number, and what his orders cost; sums in pence."""

    def __init__(self, offers: Mapping[int, Offer], ways: Sequence[Carriage]) -> None:
        self.offers, self.ways = offers, ways
        self.least = {number: offer.cheapest for number, offer in offers.items()}
        # Goods at which the carriage may fall.
        steps = {way.minimum for way in ways}
        steps |= {way.free_from for way in ways if way.free_from is not None}
        falls = sorted(pence_of(step) for step in steps)
        self.least_order = min((pence_of(way.minimum) for way in ways), default=0)
        self.falls = [(step, self._asked(step)[0]) for step in falls]
        self.below = self._asked(0)[0]
        self.name = next(iter(offers.values())).breaks[0].supplier
        self.orders: dict[int, Order] = {}
        self.whole = True

    def _asked(self, goods: int) -> tuple[int, bool]:
        price, met = carriage_on(Decimal(goods) / 100, self.ways)
        return pence_of(price), met

    def carriage(self, goods: int) -> int:
        """Return the carriage of an order of these goods."""
        asked = self.below
        for step, price in self.falls:
            if step > goods:
                break
            asked = price
        return asked

    def at_least(self, goods: int) -> int:
        """Return what comes on top of goods at least: carriage, or goods up to a cheaper one."""
        best = self.below
        for step, price in self.falls:
            more = step - goods
            if more <= 0:
                best = price
            elif more + price < best:
                best = more + price
        return best

    def beyond(self, goods: int) -> tuple[int, int]:
        """Return (1 where even `goods` miss the least order, what comes on top at least)."""
        return int(goods + self.below < self.least_order), self.at_least(goods)

    def order(self, items: int) -> Order:
        """Return the cheapest order of these items (a bit each); of equal ones that is enough."""
        found = self.orders.get(items)
        if found is None:
            found = self.orders[items] = self._order(items)
        return found

    def _order(self, items: int) -> Order:
        numbers = [number for number in self.least if items >> number & 1]
        packs = {number: self.least[number][1] for number in numbers}
        goods = sum(self.least[number][0] for number in numbers)
        asked = self.carriage(goods)
        best, extra = asked, 0
        if self.at_least(goods) < asked or goods < self.least_order <= goods + asked:
            reach = self._reach(numbers, asked + 1)
            for step, price in self.falls:
                more = _lowest(reach[-1], step - goods) if step > goods else None
                if more is None:
                    continue
                # At the same cost more of the goods is better than an order that is refused.
                if (more + price, goods + more < self.least_order) < (
                    best, goods + extra < self.least_order
                ):  # fmt: skip
                    best, extra = more + price, more
            if extra:
                packs |= self._taken(numbers, reach, extra)
        short = int(goods + extra < self.least_order)
        return Order(goods + best, best - extra, short, packs)

    def _menu(self, number: int, limit: int) -> list[tuple[int, int]]:
        """Return (pence beyond the cheapest, packs) of every quantity below `limit` more."""
        offer, (least, own) = self.offers[number], self.least[number]
        starts = offer.starts()
        found = [(0, own)]
        for start, end in zip(starts, [*starts[1:], None], strict=True):
            packs = start
            while end is None or packs < end:
                more = (offer.pence(packs) or 0) - least
                if more >= limit or len(found) >= MOST_QUANTITIES:
                    self.whole = self.whole and more >= limit
                    break
                if packs != own:
                    found.append((more, packs))
                if not offer.pence(1 + packs):
                    break
                packs += 1
        return sorted(found)

    def _reach(self, numbers: Sequence[int], limit: int) -> list[int]:
        """Return, after each item, the sums below `limit` that further packs come to, as bits."""
        inside = (1 << limit) - 1
        reach = [1]
        for number in numbers:
            sums = 0
            for more, _ in self._menu(number, limit):
                sums |= reach[-1] << more
            reach.append(sums & inside)
        return reach

    def _taken(self, numbers: Sequence[int], reach: Sequence[int], extra: int) -> dict[int, int]:
        """Return the packs of each item that come to `extra`."""
        taken = {}
        for place in reversed(range(len(numbers))):
            for more, packs in self._menu(numbers[place], extra + 1):
                if reach[place] >> (extra - more) & 1:
                    taken[numbers[place]] = packs
                    extra -= more
                    break
        return taken


def _lowest(sums: int, start: int) -> int | None:
    """Return the lowest bit that is set at `start` or above."""
    rest = sums >> start
    return start + (rest & -rest).bit_length() - 1 if rest else None
