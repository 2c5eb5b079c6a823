"""One purchase for all that a quote's lines take from the yard, and each line's part of its cost.

All lines in the price buy together: surfacing, work, and provisional sums (whatever they come to
later, today's price rests on them). Packs are whole over the whole quote, so that two lines of the
same item share a pack and a price break, and the carriage of each supplier's order is paid once.
Stone of one run is whole by colour group. Spare mixes are taken along and are not in the price:
unopened they come back. Packs beyond the need, for a break or free carriage, are paid by those who
need the item.

An option has a fixed price that is added to any choice of the others, so it cannot share a pack or
a break that only some choices reach. It is bought by itself in whole packs, but with the orders
that the quote places anyway, whose carriage more goods do not raise. What is bought for an accepted
set therefore never costs more than the quote and the prices of its options; `needs_once` says what
that set takes in whole packs, and the budget stays the sheet's.

The cost of an item goes to the lines by the packs they take, the carriage of an order by the value
of its goods; each sharing uses running totals (`spread`), so the parts add up to the penny.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from jobs.kernel.money import ZERO
from quotes.pricebook.rules import Carriage, PackPrice, Plan, Want, cheapest_plan
from quotes.quoting.enums import LineKind
from quotes.quoting.rules.drafts import MARK, spread
from quotes.quoting.rules.told import Told, sheet_of
from quotes.quoting.rules.uses import (
    Part,
    Stocked,
    Taker,
    Use,
    packs_of,
    quantities_of,
    uses_of,
)


@dataclass(frozen=True)
class Share:
    """A line after the purchase: what it costs in materials, its stock and its workings."""

    materials: Decimal
    stock: list[dict[str, Any]]
    workings: list[dict[str, str]]


@dataclass(frozen=True)
class Purchase:
    """The plan of the lines in the price, each line's share by its place, and a sheet of it."""

    plan: Plan = field(default_factory=Plan)
    shares: Mapping[int, Share] = field(default_factory=dict)
    sheet: dict[str, Any] = field(default_factory=dict)


def wants_of(uses: Sequence[Use]) -> list[Want]:
    """Return how many packs of each item are bought for, spares apart."""
    lots = packs_of(uses)
    items = dict.fromkeys(use.item_id for use in uses)
    return [
        Want(item, sum(needed for (own, _), (needed, _) in lots.items() if own == item))
        for item in items
    ]


def buy(
    lines: Sequence[Taker],
    stocked: Mapping[int, Stocked],
    prices: Mapping[int, Sequence[PackPrice]],
    ways: Mapping[int, Sequence[Carriage]],
    day: date,
) -> Purchase:
    """Return the cheapest purchase of all that the lines take at the prices of `day`.

    stocked and prices: by item; ways: by supplier. The shares' costs of the lines in the price add
    up to the plan's total exactly.
    """
    uses = uses_of(lines)
    base = [use for use in uses if lines[use.line].kind != LineKind.OPTION]
    plan = cheapest_plan(wants_of(base), prices, ways, day)
    words = Told(plan, stocked, day, base)
    parts = _parts(base, plan, stocked)
    rows = {use: words.rows(use, parts[use]) for use in base}
    riding = {**ways, **dict.fromkeys(plan.carriage, ())}
    for number, line in enumerate(lines):
        own = [use for use in uses if use.line == number and line.kind == LineKind.OPTION]
        if own:
            alone = cheapest_plan(wants_of(own), prices, riding, day)
            parts |= _parts(own, alone, stocked)
            beside = Told(alone, stocked, day, own, with_quote=plan)
            rows |= {use: beside.rows(use, parts[use]) for use in own}
    shares = {
        number: _share(line, [(use, parts[use], rows[use]) for use in uses if use.line == number])
        for number, line in enumerate(lines)
        if any(use.line == number for use in uses)
    }
    return Purchase(plan, shares, sheet_of(plan, stocked))


def _share(line: Taker, own: Sequence[tuple[Use, Part, list[dict[str, str]]]]) -> Share:
    """Return a line with the purchase's figures in place of its earlier ones."""
    stock = [dict(row) for row in line.stock]
    materials = line.materials
    for use, part, _ in own:
        cost = part.goods + part.carriage
        materials += cost - Decimal(stock[use.row]["cost"])
        stock[use.row] |= {"quantity": part.quantity, "cost": f"{cost:.2f}"}
    kept = [row for row in line.workings if MARK not in row]
    return Share(
        materials, stock, kept + [row | {MARK: "yes"} for _, _, rows in own for row in rows]
    )


def _parts(uses: Sequence[Use], plan: Plan, stocked: Mapping[int, Stocked]) -> dict[Use, Part]:
    """Return each use's part of a plan; goods and carriage add up to the plan's."""
    quantities = quantities_of(uses, stocked)
    lots = packs_of(uses)
    whole = {lot: sum((use.packs for use in uses if use.lot == lot), ZERO) for lot in lots}
    goods: dict[Use, Decimal] = {}
    carriage: dict[Use, Decimal] = {}
    for order in plan.bought:
        own = [use for use in uses if use.item_id == order.item_id]
        weights = [
            lots[use.lot][0] * use.packs / whole[use.lot] if whole[use.lot] else ZERO for use in own
        ]
        goods |= zip(own, spread(order.cost, weights), strict=True)
    for supplier, price in plan.carriage.items():
        brought = {each.item_id for each in plan.bought if each.price.supplier_id == supplier}
        own = [use for use in uses if use.item_id in brought]
        carriage |= zip(own, spread(price, [goods[use] for use in own]), strict=True)
    return {
        use: Part(quantities[use], goods.get(use, ZERO), carriage.get(use, ZERO)) for use in uses
    }


def needs_once(lines: Sequence[Taker], stocked: Mapping[int, Stocked]) -> dict[int, list[Any]]:
    """Return line number -> stock with quantities as all these lines take together; costs stay.

    For an accepted set: an option then shares the opened packs of the quote.
    """
    uses = uses_of(lines)
    found = {use.line: [dict(row) for row in lines[use.line].stock] for use in uses}
    for use, quantity in quantities_of(uses, stocked).items():
        found[use.line][use.row]["quantity"] = quantity
    return found
