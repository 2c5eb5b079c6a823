"""The demo's price book."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from config.demo.world import World, at
from quotes.pricebook.services import (
    add_entry,
    add_entry_rate,
    add_firm_rates,
    add_rate,
    add_work_item,
)

D = Decimal
WORK: tuple[tuple[str, str, str, str, bool, dict[str, str]], ...] = (
    ("LAY", "Mix, lay and trowel the surface", "m2", "area", True,
     {"labour_hours": "0.42", "plant": "1.10"}),
    ("EDGE", "Fix aluminium edging", "m", "edge", False,
     {"labour_hours": "0.16", "plant": "0.20", "waste_percent": "4"}),
    ("LIFT", "Lift the old surface and cart it away", "m2", "area", False,
     {"labour_hours": "0.30", "plant": "4.80", "material": "2.60"}),
    ("PRIME", "Prime the base", "m2", "area", False, {"labour_hours": "0.04"}),
    ("PRIME-SAND", "Prime a smooth base and scatter sand on it", "m2", "none", False,
     {"labour_hours": "0.06"}),
    ("SUBBASE", "Open-graded sub-base, 150 mm", "m2", "none", False,
     {"labour_hours": "0.35", "plant": "3.90", "material": "9.40"}),
    ("TARMAC", "Open-graded tarmac, 60 mm, by a subcontractor", "m2", "none", False,
     {"material": "27.50"}),
    ("COVER", "Recess a cover", "each", "none", False, {"labour_hours": "1.5", "material": "74"}),
    ("SKIP", "Skip, 6 m³", "each", "none", False, {"material": "265"}),
    ("DIG", "Dig out by machine", "m3", "none", False, {"labour_hours": "0.5", "plant": "9.50"}),
)  # fmt: skip
# What a unit takes from the yard: base units of each item.
STOCK: dict[str, tuple[tuple[str, int], ...]] = {
    "EDGE": (("EDG-ALU", 1000),),
    "PRIME": (("PRM-BASE", 150),),
    "PRIME-SAND": (("PRM-BASE", 200), ("SND-FINE", 400)),
}
# Bulking and loose density: common practice, no source.
BOOK: tuple[tuple[str, str, dict[str, Any]], ...] = (
    ("plant", "Digger, 1.5 t",
     {"day_rate": D(95), "week_rate": D(290), "minimum_days": 1, "delivery": D(70)}),
    ("plant", "Plate compactor", {"day_rate": D(32), "week_rate": D(84), "minimum_days": 2}),
    ("ground", "topsoil", {"bulking": D("1.25"), "density": D("1.2"), "load_t": D(8),
                           "haul": D(95), "tip": D(14)}),
    ("ground", "clay", {"bulking": D("1.3"), "density": D("1.3"), "load_t": D(8),
                        "haul": D(95), "tip": D(22)}),
    ("small", "Patch a spot of up to 1 m²",
     {"price": D(165), "labour_hours": D("2.5"), "material": D(38)}),
    ("small", "Reseat a cover", {"price": D(120), "labour_hours": D("1.5"), "material": D(18)}),
    ("small", "Fill and seal a crack, a metre",
     {"price": D(24), "labour_hours": D("0.3"), "material": D(4)}),
)  # fmt: skip


def load_prices(world: World) -> None:
    """Make the work items with their first rates, and the firm's rates of two years."""
    owner, start = world.users["owner"], world.days_ago(430)
    moment = at(start, 9)
    for code, name, unit, measure, surface, rate in WORK:
        item = add_work_item(
            code=code, name=name, unit=unit, measure=measure, is_surface=surface, by=owner,
            at=moment,
        )  # fmt: skip
        world.work[code] = item
        figures: dict[str, Any] = {name: D(value) for name, value in rate.items()}
        stock = {world.items[each].pk: taken for each, taken in STOCK.get(code, ())}
        add_rate(
            work_item_id=item.pk, valid_from=start, stock=stock, by=owner, at=moment, **figures
        )
    for kind, name, values in BOOK:
        entry = add_entry(kind=kind, name=name, by=owner, at=moment)
        add_entry_rate(
            kind=kind, entry_id=entry.pk, valid_from=start, figures=values, by=owner, at=moment
        )
    for ago, hourly in ((430, "31.00"), (150, "32.50")):
        add_firm_rates(
            valid_from=world.days_ago(ago), labour_hourly=D(hourly), overhead_percent=D(18),
            margin_percent=D(22), deposit_percent=D(25), minimum_charge=D("950.00"),
            by=owner, at=at(world.days_ago(ago), 10),
        )  # fmt: skip
