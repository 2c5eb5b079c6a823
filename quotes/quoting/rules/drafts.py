"""Lines drafted from the take-off and the price book, so that no measured figure is typed twice."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Any

from jobs.kernel.money import ZERO, round_line
from quotes.pricebook.rules import StockCost, UnitCost
from quotes.quoting.enums import LineKind
from quotes.takeoff.rules import Card, Pack, Session, TakeOff, two_places

# Marks the rows of a line's workings that its purchase with the rest of the quote writes.
MARK = "bought"


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
    if unit.material:
        rows.append(
            working(f"{name}: material", f"{quantity} {word} × £{unit.material}",
                 round_line(unit.material * quantity))
        )  # fmt: skip
    return rows


def surface_draft(take_off: TakeOff, group: str, *, laying: UnitCost, laying_name: str) -> Draft:
    """Return the surfacing line of one colour group: the laying, and the packs it takes.

    What the packs cost comes with the purchase of all lines together. Spare mixes are taken along
    and are not in the price: unopened they come back.
    """
    sessions = [each for each in take_off.sessions if each.group == group]
    area = two_places(math.fsum(each.area_m2 for each in sessions))
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
        materials=round_line(laying.materials * area),
        workings=_labour_rows(laying_name, laying, area, "m²"),
        stock=_surface_stock(take_off.cards[group], sessions),
    )


def _surface_stock(card: Card, sessions: Sequence[Session]) -> list[dict[str, Any]]:
    """Return what a colour group takes: 'wanted' and 'spare' in packs and parts of a pack."""
    taken: dict[Pack, tuple[list[float], list[float]]] = {}
    for session in sessions:
        amounts = [(card.kit, float(session.kits), float(session.spares))]
        amounts += [
            (pack, session.mixes * float(bags), session.spares * float(bags))
            for pack, bags in card.components
        ]
        for pack, mixed, extra in amounts:
            wanted, spare = taken.setdefault(pack, ([], []))
            wanted.append(mixed)
            spare.append(extra)
    return [
        {
            "item": pack.item_id, "quantity": 0, "phase": "lay",
            "colour_group": sessions[0].group if pack.run_matched else "", "cost": "0.00",
            "wanted": repr(math.fsum(wanted)), "spare": repr(math.fsum(spare)),
        }
        for pack, (wanted, spare) in taken.items()
    ]  # fmt: skip


def work_draft(
    *, work_item_id: int, name: str, unit: str, unit_label: str, cost: UnitCost, gap: str,
    quantity: Decimal, measured: bool, kind: str = LineKind.WORK,
    taken: Sequence[StockCost] = (), stock_factor: Decimal = Decimal(1),
) -> Draft:  # fmt: skip
    """Return a line of a work item. taken: what a unit takes of each item; stock_factor: 1 + waste.

    gap: what the book lacks; what prices lack stands in `taken`. Its stock costs what each item
    would by itself and without carriage, until it is bought with the rest of a quote.
    """
    workings = _labour_rows(name, cost, quantity, unit_label)
    if gap:
        workings.append(working(name, "", ZERO) | {"gap": gap})
    stock: list[dict[str, Any]] = []
    by_itself = ZERO
    for each in taken if quantity else ():
        row, own = _taken_row(each, quantity, unit_label, stock_factor)
        by_itself += Decimal(row["cost"])
        stock.append(row)
        workings += own
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
        materials=round_line(cost.material * quantity) + by_itself,
        workings=workings,
        stock=stock,
    )


def _taken_row(
    taken: StockCost, quantity: Decimal, unit_label: str, factor: Decimal
) -> tuple[dict[str, Any], list[dict[str, str]]]:
    """Return one item of a work item's line as a row of stock, and its workings by itself."""
    cost = round_line(taken.cost * quantity)
    wanted = quantity * taken.per_unit * factor / taken.pack_quantity
    row = {
        "item": taken.item_id, "quantity": math.ceil(wanted) * taken.pack_quantity,
        "phase": "prepare", "colour_group": "", "cost": f"{cost:.2f}", "wanted": f"{wanted:.9f}",
    }  # fmt: skip
    if taken.gap:
        return row, [working(taken.name, "", ZERO) | {"gap": taken.gap, MARK: "yes"}]
    how = f"{quantity} {unit_label} × £{taken.cost}"
    return row, [working(taken.name, how, cost) | {MARK: "yes"}] if cost else []
