"""Lines drafted from the take-off and the price book, so that no measured figure is typed twice."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from jobs.kernel.money import ZERO, round_line
from quotes.pricebook.rules import Plan, UnitCost, Want
from quotes.quoting.enums import LineKind
from quotes.takeoff.rules import Purchase, TakeOff, purchases_of, two_places


@dataclass(frozen=True)
class Draft:
    """A line before it is a row. `stock` rows are what the work takes from the yard."""

    kind: str
    words: str
    quantity: Decimal
    unit: str
    work_item_id: int | None = None
    colour_group: str = ""
    measured: bool = True
    labour_hours: Decimal = ZERO
    labour: Decimal = ZERO
    plant: Decimal = ZERO
    materials: Decimal = ZERO
    other: Decimal = ZERO
    workings: list[dict[str, str]] = field(default_factory=list)
    stock: list[dict[str, Any]] = field(default_factory=list)
    # What the line was reckoned from, and the price of its own that it has.
    asked: dict[str, Any] = field(default_factory=dict)
    price: Decimal | None = None

    @property
    def direct(self) -> Decimal:
        """Direct cost of the line."""
        return self.labour + self.plant + self.materials + self.other


def spread(total: Decimal, weights: Sequence[Decimal]) -> tuple[Decimal, ...]:
    """Split a sum of money by weights that may be below nought; the parts add up exactly.

    As `share_out`, but for lines among which there is a discount. All nought: equal parts.
    """
    whole = sum(weights, ZERO)
    if whole == 0:
        weights, whole = [Decimal(1)] * len(weights), Decimal(len(weights))
    parts: list[Decimal] = []
    seen, given = ZERO, ZERO
    for weight in weights:
        seen += weight
        upto = round_line(total * seen / whole)
        parts.append(upto - given)
        given = upto
    return tuple(parts)


def spread_whole(total: int, weights: Sequence[float]) -> tuple[int, ...]:
    """Split a whole number by weights into whole numbers that add up to it."""
    whole = math.fsum(weights)
    parts, given = [], 0
    for number in range(len(weights)):
        upto = round(total * math.fsum(weights[: number + 1]) / whole) if whole else 0
        parts.append(upto - given)
        given = upto
    if parts:
        parts[-1] += total - given
    return tuple(parts)


def working(what: str, how: str, amount: Decimal) -> dict[str, str]:
    return {"what": what, "how": how, "amount": f"{amount:.2f}"}


def _labour_rows(name: str, unit: UnitCost, quantity: Decimal, word: str) -> list[dict[str, str]]:
    rows = [
        working(
            f"{name}: labour",
            f"{quantity} {word} × {unit.labour_hours} h, at £{unit.labour} a {word}",
            round_line(unit.labour * quantity),
        )
    ]
    if unit.plant:
        rows.append(
            working(f"{name}: plant", f"{quantity} {word} × £{unit.plant}",
                 round_line(unit.plant * quantity))
        )  # fmt: skip
    if unit.materials:
        rows.append(
            working(f"{name}: material", f"{quantity} {word} × £{unit.materials}",
                 round_line(unit.materials * quantity))
        )  # fmt: skip
    return rows


def surface_draft(
    take_off: TakeOff, group: str, *, laying: UnitCost, laying_name: str, plan: Plan, day: date
) -> Draft:
    """Return the surfacing line of one colour group: packs as the plan buys them, and the laying.

    Packs that several groups share are paid by each in the proportion it takes, and the carriage of
    an order by mass. Spare mixes are taken along and are not in the price: unopened they come back.
    """
    sessions = [each for each in take_off.sessions if each.group == group]
    area = two_places(math.fsum(each.area_m2 for each in sessions))
    parts = _group_packs(purchases_of(take_off), group, plan, day)
    materials = sum((Decimal(row["amount"]) for _, rows in parts for row in rows), ZERO)
    names = ", ".join(
        entry["name"] for entry in take_off.document["areas"] if entry["blend"] == group
    )
    return Draft(
        kind=LineKind.SURFACE,
        words=f"Resin-bound surfacing, {take_off.cards[group].name}: {names}"[:200],
        quantity=area,
        unit="m2",
        colour_group=group,
        labour_hours=round_line(laying.labour_hours * area),
        labour=round_line(laying.labour * area),
        plant=round_line(laying.plant * area),
        materials=materials + round_line(laying.materials * area),
        workings=_labour_rows(laying_name, laying, area, "m²")
        + [row for _, rows in parts for row in rows],
        stock=[stock for stock, _ in parts],
    )


def wants_of(bought: Sequence[Purchase]) -> list[Want]:
    """Return how many packs of each item are wanted in all, spares apart."""
    items = dict.fromkeys(each.pack.item_id for each in bought)
    return [
        Want(item, sum(each.packs for each in bought if each.pack.item_id == item))
        for item in items
    ]  # fmt: skip


def _group_packs(
    bought: Sequence[Purchase], group: str, plan: Plan, day: date
) -> list[tuple[dict[str, Any], list[dict[str, str]]]]:
    """Return (stock row, workings rows) of every pack that a colour group has a part in."""
    carried = _carriage_by_purchase(bought, plan)
    parts = []
    for number, purchase in enumerate(bought):
        groups = [name for name, _ in purchase.shares]
        if group not in groups:
            continue
        place, amounts = groups.index(group), [amount for _, amount in purchase.shares]
        weights = [Decimal(repr(amount)) for amount in amounts]
        whole_rows = (_pack_cost(purchase, plan, day), carried[number])
        rows = [
            _part_of(row, cost, spread(cost, weights)[place])
            for cost, row in whole_rows if row["what"]
        ]  # fmt: skip
        whole = purchase.total_packs * purchase.pack.pack_quantity
        cost = sum((Decimal(row["amount"]) for row in rows), ZERO)
        stock = {
            "item": purchase.pack.item_id, "quantity": spread_whole(whole, amounts)[place],
            "phase": "lay", "colour_group": purchase.colour_group, "cost": f"{cost:.2f}",
        }  # fmt: skip
        parts.append((stock, rows))
    return parts


def _part_of(row: dict[str, str], cost: Decimal, part: Decimal) -> dict[str, str]:
    if part == cost:
        return row
    return row | {"how": f"{row['how']}, this colour's part", "amount": f"{part:.2f}"}


def _pack_cost(purchase: Purchase, plan: Plan, day: date) -> tuple[Decimal, dict[str, str]]:
    """Return what the packs cost; the break counts for all that is bought of the item.

    Packs bought beyond the need, to reach a break, are paid with those that are needed.
    """
    pack = purchase.pack
    order = plan.of(pack.item_id)
    if order is None:
        if not purchase.packs:
            return ZERO, working(pack.name, "none needed", ZERO)
        gap = f"'{pack.name}' has no supplier's price for {day:%d %b %Y}."
        return ZERO, working(pack.name, "", ZERO) | {"gap": gap}
    price = order.price
    how = f"{purchase.packs} × {pack.pack_name} at £{price.pack_price} from {price.supplier}"
    if order.packs == order.needed:
        cost = round_line(purchase.packs * price.pack_price)
    else:
        cost = round_line(order.cost * purchase.packs / order.needed)
        how += (
            f"; {order.needed} are needed, {order.packs} at the price from {price.from_packs} "
            f"cost less: £{order.cost}"
        )
    return cost, working(pack.name, how, cost)


def _carriage_by_purchase(
    bought: Sequence[Purchase], plan: Plan
) -> list[tuple[Decimal, dict[str, str]]]:
    """Return each purchase's part of the carriage of its order, by mass, or by packs without it."""
    found = [(ZERO, working("", "", ZERO)) for _ in bought]
    for supplier, carriage in plan.carriage.items():
        own = [
            (n, each) for n, each in enumerate(bought)
            if (order := plan.of(each.pack.item_id)) and order.price.supplier_id == supplier
        ]  # fmt: skip
        if not carriage or not own:
            continue
        masses = [Decimal(each.packs * each.pack.pack_mass_g) for _, each in own]
        weights = masses if all(masses) else [Decimal(each.packs) for _, each in own]
        for (n, each), part in zip(own, spread(carriage, weights), strict=True):
            order = plan.of(each.pack.item_id)
            name = order.price.supplier if order else ""
            how = f"carriage of the order from {name}, £{carriage} once"
            if name in plan.short:
                how += "; the order is below their least order"
            if len(own) > 1:
                how += ", by mass" if all(masses) else ", by packs"
            found[n] = (part, working(f"{each.pack.name}: carriage", how, part))
    return found


def work_draft(
    *,
    work_item_id: int,
    name: str,
    unit: str,
    unit_label: str,
    cost: UnitCost,
    gap: str,
    quantity: Decimal,
    measured: bool,
    kind: str = LineKind.WORK,
    stock_item: tuple[int, int, int] | None = None,
    stock_factor: Decimal = Decimal(1),
) -> Draft:
    """Return a line of a work item. `stock_item` is (item, base units a unit, pack quantity)."""
    # long because: a line's figures stand one below the other
    workings = _labour_rows(name, cost, quantity, unit_label)
    if gap:
        workings.append(working(name, "", ZERO) | {"gap": gap})
    stock: list[dict[str, Any]] = []
    if stock_item and quantity:
        item_id, per_unit, pack = stock_item
        packs = math.ceil(quantity * per_unit * stock_factor / pack)
        stock.append(
            {
                "item": item_id, "quantity": packs * pack, "phase": "prepare", "colour_group": "",
                "cost": f"{round_line(cost.stock * quantity):.2f}",
            }
        )  # fmt: skip
    return Draft(
        kind=kind,
        words=name,
        quantity=quantity,
        unit=unit,
        work_item_id=work_item_id,
        measured=measured,
        labour_hours=round_line(cost.labour_hours * quantity),
        labour=round_line(cost.labour * quantity),
        plant=round_line(cost.plant * quantity),
        materials=round_line(cost.materials * quantity),
        workings=workings,
        stock=stock,
    )
