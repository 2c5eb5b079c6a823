"""The cheapest purchase: who brings what, and how many packs, so that all of it costs least.

Who: one item comes from one supplier. A purchase that meets every least order wins over a cheaper
one that does not. How many: the packs that are needed, or more where that costs less in all,
because a price break is reached or the order is then brought free (or by a cheaper way). To meet a
least order alone nothing is bought that nobody needs: the plan says that it is missed.

The search is exact as long as it may try: the sets of suppliers in the order of what they cost at
least, and in each set the items one by one; a branch ends where its least cost is no better than
what is known. `MOST_TRIED` steps bound the time; after them the best that is known stands, and
`Plan.tried_all` is False. Known from the beginning is every item from where it costs least by
itself with a carriage of its own, such orders joined: the plan is never dearer than that.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal
from itertools import combinations

from quotes.pricebook.rules.buying import Carriage, Offer, Plan, Want, offers_of
from quotes.pricebook.rules.orders import Supplier
from quotes.pricebook.rules.prices import PackPrice

# Steps of one search: so many take 15 to 30 ms.
MOST_TRIED = 3_000
# Sets of suppliers that are looked at, small ones first.
MOST_SETS = 128


def cheapest_plan(
    wants: Iterable[Want],
    prices: Mapping[int, Sequence[PackPrice]],
    ways: Mapping[int, Sequence[Carriage]],
    day: date,
) -> Plan:
    """Return where to buy all of it so that packs and carriage together cost least on `day`.

    prices: by item; ways: by supplier. What it promises and where it ends stands above.
    """
    offered = [offers_of(want, prices.get(want.item_id, ()), day) for want in wants if want.packs]
    offered = [each for each in offered if each]
    return _Search(offered, ways).best() if offered else Plan()


class _Search:
    """Depth first over the items within each set of suppliers, the set that may cost least first.

    Suppliers and items are numbers here; what a supplier brings is kept as bits, one an item.
    """

    def __init__(
        self, offers: Sequence[tuple[Offer, ...]], ways: Mapping[int, Sequence[Carriage]]
    ) -> None:
        keys = list(dict.fromkeys(offer.supplier_id for each in offers for offer in each))
        own: list[dict[int, Offer]] = [{} for _ in keys]
        for item, each in enumerate(offers):
            for offer in each:
                own[keys.index(offer.supplier_id)][item] = offer
        self.keys, self.items = keys, len(offers)
        self.suppliers = [
            Supplier(found, ways.get(key, ())) for key, found in zip(keys, own, strict=True)
        ]
        # By item: (pence of its cheapest quantity, supplier), the cheapest first.
        self.choices = [
            [(offer.cheapest[0], keys.index(offer.supplier_id)) for offer in each]
            for each in offers
        ]
        self.tried, self.whole = 0, True
        self.known: dict[int, int] = {}
        self.value: tuple[int, int] | None = None

    def best(self) -> Plan:
        """Return the best plan found."""
        self.weigh(self._each_alone())
        for short, least, chosen in self._sets():
            if self.value is not None and (short, least) >= self.value:
                break
            if self.tried >= MOST_TRIED:
                self.whole = False
                break
            self.tried += self.items
            _Within(self, chosen).look()
        return self._plan()

    def _each_alone(self) -> dict[int, int]:
        """Every item by itself: from where it costs least with a carriage of its own."""
        found: dict[int, int] = {}
        for item, choices in enumerate(self.choices):
            orders = [(self.suppliers[who].order(1 << item), who) for _, who in choices]
            who = min(orders, key=lambda each: (each[0].short, each[0].total))[1]
            found[who] = found.get(who, 0) | 1 << item
        return found

    def _sets(self) -> list[tuple[int, int, tuple[int, ...]]]:
        """Return (orders too small at least, pence at least, suppliers), the least first.

        Who alone sells an item is in every set.
        """
        forced = {choices[0][1] for choices in self.choices if len(choices) == 1}
        others = [who for who in range(len(self.keys)) if who not in forced]
        found = []
        for number, more in enumerate(
            each for size in range(len(others) + 1) for each in combinations(others, size)
        ):
            if number >= MOST_SETS:
                self.whole = False
                break
            chosen = frozenset(forced | set(more))
            goods = [
                next((pence for pence, who in choices if who in chosen), None)
                for choices in self.choices
            ]
            if chosen and None not in goods:
                most = [
                    self.suppliers[who].beyond(
                        sum(p for p, _ in self.suppliers[who].least.values())
                    )
                    for who in chosen
                ]
                least = sum(each or 0 for each in goods) + sum(asked for _, asked in most)
                found.append((sum(short for short, _ in most), least, tuple(sorted(chosen))))
        return sorted(found)

    def weigh(self, brought: Mapping[int, int]) -> None:
        """Keep an assignment where it is better than the known one."""
        orders = [self.suppliers[who].order(items) for who, items in brought.items() if items]
        value = (sum(each.short for each in orders), sum(each.total for each in orders))
        if self.value is None or value < self.value:
            self.value = value
            self.known = {who: items for who, items in brought.items() if items}

    def _plan(self) -> Plan:
        orders = {who: self.suppliers[who].order(items) for who, items in self.known.items()}
        bought = {
            item: self.suppliers[who].offers[item].bought(packs)
            for who, order in orders.items()
            for item, packs in order.packs.items()
        }
        return Plan(
            tuple(bought[item] for item in range(self.items)),
            {self.keys[who]: Decimal(order.carriage) / 100 for who, order in orders.items()},
            tuple(sorted(self.suppliers[who].name for who, order in orders.items() if order.short)),
            self.whole and all(each.whole for each in self.suppliers),
        )


class _Within:
    """The search within one set of suppliers, each of whom is taken to bring something."""

    def __init__(self, search: _Search, chosen: Sequence[int]) -> None:
        self.search = search
        self.who = [search.suppliers[number] for number in chosen]
        self.chosen = chosen
        choices = [
            [(pence, chosen.index(who)) for pence, who in each if who in chosen]
            for each in search.choices
        ]
        # Where there is least to choose first, then where the choice costs most.
        self.order = sorted(
            range(search.items),
            key=lambda item: (len(choices[item]) > 1, choices[item][0][0] - choices[item][-1][0]),
        )
        self.choices = [choices[item] for item in self.order]
        count = search.items
        self.rest = [0] * (count + 1)
        self.potential = [[0] * len(chosen) for _ in range(count + 1)]
        for level in reversed(range(count)):
            self.rest[level] = self.rest[level + 1] + self.choices[level][0][0]
            self.potential[level] = list(self.potential[level + 1])
            for pence, who in self.choices[level]:
                self.potential[level][who] += pence
        self.goods = [0] * len(chosen)
        self.brought = [0] * len(chosen)

    def look(self, level: int = 0, goods: int = 0) -> None:
        """Try every choice from an item on, as long as it may be better than what is known."""
        search = self.search
        search.tried += 1
        short, least, potential = 0, goods + self.rest[level], self.potential[level]
        for who, supplier in enumerate(self.who):
            too_small, asked = supplier.beyond(self.goods[who] + potential[who])
            short += too_small
            least += asked
        if search.value is not None and (short, least) >= search.value:
            return
        if level == search.items:
            search.weigh(dict(zip(self.chosen, self.brought, strict=True)))
            return
        for pence, who in self.choices[level]:
            if search.tried >= MOST_TRIED:
                search.whole = False
                return
            self.goods[who] += pence
            self.brought[who] |= 1 << self.order[level]
            self.look(level + 1, goods + pence)
            self.goods[who] -= pence
            self.brought[who] ^= 1 << self.order[level]
