"""How a purchase is told: in the workings of each line that pays for it, and as a sheet."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date
from decimal import Decimal
from typing import Any

from jobs.kernel.money import PENNY, RATE_STEP, ZERO
from quotes.pricebook.rules import Bought, Plan
from quotes.quoting.rules.drafts import working
from quotes.quoting.rules.uses import Part, Stocked, Use, packs_of


class Told:
    """How a line's part of a plan is told in its workings."""

    def __init__(
        self,
        plan: Plan,
        stocked: Mapping[int, Stocked],
        day: date,
        uses: Sequence[Use],
        *,
        with_quote: Plan | None = None,
    ) -> None:
        self.plan, self.stocked, self.day, self.with_quote = plan, stocked, day, with_quote
        self.lots = packs_of(uses)
        self.takers = Counter(use.lot for use in uses)

    def rows(self, use: Use, part: Part) -> list[dict[str, str]]:
        """Return the rows of one use: its packs, and its part of the carriage."""
        item, order = self.stocked[use.item_id], self.plan.of(use.item_id)
        if order is None and not use.packs:
            return [working(item.name, "none needed", ZERO)]
        if order is None:
            gap = f"'{item.name}' has no supplier's price for {self.day:%d %b %Y}."
            return [working(item.name, "", ZERO) | {"gap": gap}]
        rows = [working(item.name, self._packs(use, order), part.goods)]
        supplier = order.price.supplier
        whole = self.plan.carriage.get(order.price.supplier_id, ZERO)
        if whole:
            how = f"of the order from {supplier}, £{whole:,.2f} once"
            if supplier in self.plan.short:
                how += "; the order is below their least order"
            if part.carriage != whole:
                how += ", shared by value"
            rows.append(working(f"{item.name}: carriage", how, part.carriage))
        return rows

    def _packs(self, use: Use, order: Bought) -> str:
        pack, price = self.stocked[use.item_id].pack_name, order.price
        needed, alone = self.lots[use.lot][0], self.takers[use.lot] == 1
        count = str(needed) if alone else f"{two_places(use.packs)} of {needed}"
        how = f"{count} × {pack} at £{pounds(price.pack_price)} from {price.supplier}"
        if not alone:
            how += ", shared by what each takes"
        if order.left:
            how += f"; {bought_words(order)}"
        if self.with_quote and price.supplier_id in self.with_quote.carriage:
            how += "; brought with the quote's order"
        return how


def bought_words(order: Bought) -> str:
    """Return why more is bought than is needed, and what stays; '' where it is not."""
    if not order.left:
        return ""
    if order.for_break:
        how = f"{order.packs} at the price from {order.price.from_packs} cost less: £{order.cost}"
    else:
        how = f"{order.packs} are bought, so that the order costs less with its carriage"
    return f"{order.needed} are needed, {how}, {order.left} left over"


def two_places(packs: Decimal) -> Decimal:
    """Return packs with two places."""
    return packs.quantize(PENNY)


def pounds(price: Decimal) -> Decimal:
    """Return a unit price in pence where it is whole, else with its four places."""
    return price.quantize(PENNY) if price == price.quantize(PENNY) else price.quantize(RATE_STEP)


def sheet_of(plan: Plan, stocked: Mapping[int, Stocked]) -> dict[str, Any]:
    """Return the purchase as the sheet of costs shows it and a revision keeps it."""
    orders: dict[int, list[Bought]] = {}
    for each in plan.bought:
        orders.setdefault(each.price.supplier_id, []).append(each)
    return {
        "orders": [
            {
                "supplier": own[0].price.supplier,
                "short": own[0].price.supplier in plan.short,
                "goods": str(sum((each.cost for each in own), ZERO)),
                "carriage": str(plan.carriage[supplier]),
                "items": [_item_row(each, stocked[each.item_id]) for each in own],
            }
            for supplier, own in orders.items()
        ],
        "total": str(plan.total),
        "proven": plan.tried_all,
    }


def _item_row(order: Bought, item: Stocked) -> dict[str, Any]:
    return {
        "item": order.item_id, "name": item.name, "pack": item.pack_name, "needed": order.needed,
        "packs": order.packs, "price": str(order.price.pack_price), "cost": str(order.cost),
        "left": order.left, "why": bought_words(order),
    }  # fmt: skip
