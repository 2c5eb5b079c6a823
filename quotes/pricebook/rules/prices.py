"""How a price comes about: unit rates from first principles, overhead, margin, floor; no rows."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from jobs.kernel.money import ZERO, round_line, round_rate

HUNDRED = Decimal(100)
# Items of the yard that one unit of work takes at most; the form has so many rows.
MOST_STOCKED = 6


@dataclass(frozen=True)
class PackPrice:
    """What a pack costs from a supplier, from so many packs on, from a day on (£, no VAT)."""

    supplier_id: int
    supplier: str
    valid_from: date
    from_packs: int
    pack_price: Decimal


@dataclass(frozen=True)
class StockCost:
    """What one unit of work takes of an item in base units, and what that costs with its waste."""

    item_id: int
    name: str
    base_unit: str
    pack_quantity: int
    per_unit: int
    cost: Decimal
    # Why it costs nothing, as a sentence; '' where a price is known.
    gap: str = ""


@dataclass(frozen=True)
class UnitCost:
    """Direct cost of one unit of work in pounds, four places each, with the hours it takes."""

    labour_hours: Decimal
    labour: Decimal
    plant: Decimal
    material: Decimal
    stock: Decimal

    @property
    def materials(self) -> Decimal:
        """Bought-in material and stock together."""
        return self.material + self.stock

    @property
    def direct(self) -> Decimal:
        """All of it."""
        return self.labour + self.plant + self.material + self.stock


def build_up(
    *,
    labour_hours: Decimal,
    labour_hourly: Decimal,
    plant: Decimal,
    material: Decimal,
    waste_percent: Decimal = ZERO,
    stock: Decimal = ZERO,
) -> UnitCost:
    """Return the direct cost of one unit.

    Waste is on what is bought, not on hours or plant: on `material` here; `stock` is the sum of
    `stock_cost`, which has it.
    """
    return UnitCost(
        labour_hours=labour_hours,
        labour=round_rate(labour_hours * labour_hourly),
        plant=round_rate(plant),
        material=round_rate(material * (1 + waste_percent / HUNDRED)),
        stock=stock,
    )


def stock_cost(per_unit: int, price_each: Decimal, waste_percent: Decimal = ZERO) -> Decimal:
    """Return what so many base units at `price_each` pounds cost with waste, four places."""
    return round_rate(per_unit * price_each * (1 + waste_percent / HUNDRED))


def overhead_on(direct: Decimal, percent: Decimal) -> Decimal:
    """Return overhead as a share of direct cost, in whole pence."""
    return round_line(direct * percent / HUNDRED)


def price_at(floor: Decimal, margin_percent: Decimal) -> Decimal:
    """Return the price before VAT of which `margin_percent` is margin: floor / (1 − margin).

    `floor` is direct cost plus overhead. The margin is a share of the price, not of the cost.
    Raises ValueError unless 0 <= margin < 100.
    """
    if not 0 <= margin_percent < HUNDRED:
        raise ValueError("A margin is a share of the price: from 0 to less than 100 %.")
    return round_line(floor * HUNDRED / (HUNDRED - margin_percent))


def margin_in(net: Decimal, floor: Decimal) -> Decimal | None:
    """Return the margin that a price holds, as % of the price with two places; None at no price."""
    return round_line((net - floor) * HUNDRED / net) if net else None


def in_force(prices: Iterable[PackPrice], day: date) -> tuple[PackPrice, ...]:
    """Return the prices that hold on `day`: of each supplier and break the one that began last."""
    latest: dict[tuple[int, int], PackPrice] = {}
    for price in prices:
        key = (price.supplier_id, price.from_packs)
        known = latest.get(key)
        if price.valid_from <= day and (known is None or price.valid_from > known.valid_from):
            latest[key] = price
    return tuple(latest.values())


def cheapest(prices: Iterable[PackPrice], packs: int, day: date) -> PackPrice | None:
    """Return the lowest price for `packs` packs bought at once on `day`; None where there is none.

    Of one supplier the break that `packs` reaches counts, even where a smaller break is cheaper:
    that is what he would charge. Equal prices go to the supplier first in the alphabet.
    """
    best_break: dict[int, PackPrice] = {}
    for price in in_force(prices, day):
        known = best_break.get(price.supplier_id)
        reached = price.from_packs <= max(packs, 1)
        if reached and (known is None or price.from_packs > known.from_packs):
            best_break[price.supplier_id] = price
    return min(
        best_break.values(), key=lambda price: (price.pack_price, price.supplier), default=None
    )
