"""Lines drafted from the take-off and the price book, so that no measured figure is typed twice."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from jobs.kernel.money import ZERO, round_line
from quotes.pricebook.rules import PackPrice, UnitCost, cheapest
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


def _row(what: str, how: str, amount: Decimal) -> dict[str, str]:
    return {"what": what, "how": how, "amount": f"{amount:.2f}"}


def _labour_rows(name: str, unit: UnitCost, quantity: Decimal, word: str) -> list[dict[str, str]]:
    rows = [
        _row(
            f"{name}: labour",
            f"{quantity} {word} × {unit.labour_hours} h, at £{unit.labour} a {word}",
            round_line(unit.labour * quantity),
        )
    ]
    if unit.plant:
        rows.append(
            _row(f"{name}: plant", f"{quantity} {word} × £{unit.plant}",
                 round_line(unit.plant * quantity))
        )  # fmt: skip
    if unit.materials:
        rows.append(
            _row(f"{name}: material", f"{quantity} {word} × £{unit.materials}",
                 round_line(unit.materials * quantity))
        )  # fmt: skip
    return rows


def surface_draft(
    take_off: TakeOff,
    group: str,
    *,
    laying: UnitCost,
    laying_name: str,
    prices: Mapping[int, Sequence[PackPrice]],
    day: date,
) -> Draft:
    """Return the surfacing line of one colour group: packs at catalogue prices, and the laying.

    Packs that several groups share are paid by each in the proportion it takes. Spare mixes are
    taken along and are not in the price: unopened they come back.
    """
    sessions = [each for each in take_off.sessions if each.group == group]
    area = two_places(math.fsum(each.area_m2 for each in sessions))
    parts = _group_packs(purchases_of(take_off), group, prices, day)
    materials = sum((part for part, _, _ in parts), ZERO)
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
        workings=_labour_rows(laying_name, laying, area, "m²") + [row for _, row, _ in parts],
        stock=[stock for _, _, stock in parts],
    )


def _group_packs(
    bought: Sequence[Purchase],
    group: str,
    prices: Mapping[int, Sequence[PackPrice]],
    day: date,
) -> list[tuple[Decimal, dict[str, str], dict[str, Any]]]:
    """Return (cost, workings row, stock row) of every pack that a colour group has a part in."""
    parts = []
    for purchase in bought:
        groups = [name for name, _ in purchase.shares]
        if group not in groups:
            continue
        cost, row = _pack_cost(purchase, bought, prices, day)
        place, amounts = groups.index(group), [amount for _, amount in purchase.shares]
        part = spread(cost, [Decimal(repr(amount)) for amount in amounts])[place]
        if part != cost:
            row = row | {"how": f"{row['how']}, this colour's part", "amount": f"{part:.2f}"}
        whole = purchase.total_packs * purchase.pack.pack_quantity
        stock = {
            "item": purchase.pack.item_id, "quantity": spread_whole(whole, amounts)[place],
            "phase": "lay", "colour_group": purchase.colour_group, "cost": f"{part:.2f}",
        }  # fmt: skip
        parts.append((part, row, stock))
    return parts


def _pack_cost(
    purchase: Purchase,
    bought: Sequence[Purchase],
    prices: Mapping[int, Sequence[PackPrice]],
    day: date,
) -> tuple[Decimal, dict[str, str]]:
    """Return what the packs cost; the break counts for all that is bought of the item."""
    pack = purchase.pack
    together = sum(each.packs for each in bought if each.pack.item_id == pack.item_id)
    price = cheapest(prices.get(pack.item_id, ()), together, day)
    if price is None:
        gap = f"'{pack.name}' has no supplier's price for {day:%d %b %Y}."
        return ZERO, _row(pack.name, "", ZERO) | {"gap": gap}
    cost = round_line(purchase.packs * price.pack_price)
    how = f"{purchase.packs} × {pack.pack_name} at £{price.pack_price} from {price.supplier}"
    return cost, _row(pack.name, how, cost)


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
        workings.append(_row(name, "", ZERO) | {"gap": gap})
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
