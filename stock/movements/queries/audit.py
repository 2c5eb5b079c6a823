"""Re-adding the whole stock from its movements, and naming every figure that differs.

The database compares as well as adds: only what differs comes back, so that millions of movements
cost little more than their sums. The statements read alike on both engines, and only read.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django.db import connection

from jobs.kernel.appendonly import missing_triggers
from stock.catalogue.models import Place
from stock.ledger.enums import PostingKind
from stock.ledger.models import Lot, Movement
from stock.ledger.rules import SITE, YARD

# The ORM cannot add up a union. Kinds come as parameters; amounts are whole pence.
KINDS = {
    "yard": sorted(YARD), "site": sorted(SITE), "issue": [PostingKind.ISSUE.value],
    "return": [PostingKind.RETURN.value],
}  # fmt: skip

# What came in less what went out, by lot and counted place.
MOVED = """
WITH counted AS (SELECT id, kind FROM stock_place WHERE kind IN ({yard}, {site})),
moved AS MATERIALIZED (
    SELECT lot_id, place_id, SUM(quantity) AS found FROM (
        SELECT lot_id, to_place_id AS place_id, quantity FROM stock_movement
        UNION ALL
        SELECT lot_id, from_place_id, -quantity FROM stock_movement
    ) AS ends WHERE place_id IN (SELECT id FROM counted) GROUP BY lot_id, place_id
)
"""
BALANCES = """
spots AS (
    SELECT lot_id, place_id, SUM(kept) AS kept, SUM(found) AS found FROM (
        SELECT lot_id, place_id, 0 AS kept, found FROM moved
        UNION ALL
        SELECT lot_id, place_id, quantity, 0 FROM stock_balance
    ) AS sides GROUP BY lot_id, place_id HAVING SUM(kept) <> SUM(found)
)
"""
# One row for a balance that differs (place_id is set), or for a lot of which some sum differs.
LOTS = """
held AS (
    SELECT lot_id, SUM(quantity) AS found FROM (
        SELECT lot_id, quantity FROM stock_reservation
        UNION ALL
        SELECT lot_id, quantity FROM stock_keptback WHERE released_at IS NULL
    ) AS parts GROUP BY lot_id
),
lying AS (
    SELECT lot_id, SUM(CASE WHEN kind IN ({yard}) THEN found ELSE 0 END) AS yard,
           SUM(CASE WHEN kind IN ({yard}) THEN 0 ELSE found END) AS sites
    FROM moved JOIN counted ON counted.id = place_id GROUP BY lot_id
),
figures AS (
    SELECT lot.id, lot.code, on_hand, COALESCE(yard, 0) AS yard, at_sites,
           COALESCE(sites, 0) AS sites, reserved, COALESCE(held.found, 0) AS held
    FROM stock_lot AS lot LEFT JOIN lying ON lying.lot_id = lot.id
    LEFT JOIN held ON held.lot_id = lot.id
)
SELECT lot_id, code, place_id, kept, found, 0, 0, 0, 0
FROM spots JOIN stock_lot ON stock_lot.id = lot_id
UNION ALL
SELECT id, code, NULL, on_hand, yard, at_sites, sites, reserved, held FROM figures
WHERE on_hand <> yard OR at_sites <> sites OR reserved <> held
"""
# What each job drew of each lot, less what it brought back, and at what cost.
DRAWN = """
WITH drawn AS MATERIALIZED (
    SELECT lot_id, job_id, SUM(CASE WHEN kind IN ({issue}) THEN units ELSE -units END) AS units,
           SUM(CASE WHEN kind IN ({issue}) THEN cost ELSE -cost END) AS cost
    FROM (
        SELECT lot_id, job_id, kind, SUM(quantity) AS units, COALESCE(SUM(cost), 0) AS cost
        FROM stock_movement JOIN stock_posting ON stock_posting.id = posting_id
        WHERE kind IN ({issue}, {return}) GROUP BY lot_id, job_id, kind
    ) AS ways GROUP BY lot_id, job_id
)
"""
# One row for a lot of which units or cost differ, or for a requirement (its job is named).
COSTS = """
taken AS (
    SELECT lot_id, SUM(units) AS units, SUM(cost) AS cost FROM (
        SELECT lot_id, units, cost FROM drawn
        UNION ALL
        SELECT parent_id, received, cost FROM stock_lot WHERE parent_id IS NOT NULL
    ) AS parts GROUP BY lot_id
),
figures AS (
    SELECT lot.id, lot.code, lot.costed, COALESCE(taken.units, 0) AS units, lot.cost,
           COALESCE(taken.cost, 0) AS taken
    FROM stock_lot AS lot LEFT JOIN taken ON taken.lot_id = lot.id
),
went AS (
    SELECT job_id, item_id, SUM(units) AS units
    FROM drawn JOIN stock_lot ON stock_lot.id = lot_id GROUP BY job_id, item_id
),
asked AS (
    SELECT job_id, item_id, SUM(issued) AS issued FROM (
        SELECT job_id, item_id, issued FROM stock_requirement
        UNION ALL
        SELECT job_id, served.item_id, -stood.quantity FROM stock_stoodin AS stood
        JOIN stock_requirement AS served ON served.id = requirement_id
        UNION ALL
        SELECT job_id, lot.item_id, stood.quantity FROM stock_stoodin AS stood
        JOIN stock_requirement AS served ON served.id = requirement_id
        JOIN stock_lot AS lot ON lot.id = lot_id
    ) AS parts GROUP BY job_id, item_id
),
issued AS (
    SELECT asked.job_id, asked.item_id, issued,
           CASE WHEN units > 0 THEN units ELSE 0 END AS units
    FROM asked LEFT JOIN went ON went.job_id = asked.job_id AND went.item_id = asked.item_id
)
SELECT id, code, '', costed, units, cost, taken FROM figures
WHERE costed <> units OR taken < 0 OR taken > cost
UNION ALL
SELECT item_id, stock_item.name, jobs_job.reference, issued, units, 0, 0
FROM issued JOIN stock_item ON stock_item.id = item_id JOIN jobs_job ON jobs_job.id = issued.job_id
WHERE issued <> units
"""
# The costs of each posting beside the entries that its job carries for it.
ENTRIES = """
SELECT posting_id, SUM(kept), SUM(found) FROM (
    SELECT source_id AS posting_id, SUM(amount) AS kept, 0 AS found
    FROM jobs_costentry WHERE source = 'stock.posting' GROUP BY source_id
    UNION ALL
    SELECT id, 0, CASE WHEN kind IN ({issue}) THEN cost ELSE -cost END
    FROM (SELECT posting_id, COALESCE(SUM(cost), 0) AS cost FROM stock_movement GROUP BY posting_id)
         AS sums JOIN stock_posting ON stock_posting.id = sums.posting_id
    WHERE kind IN ({issue}, {return})
) AS sides GROUP BY posting_id HAVING SUM(kept) <> SUM(found) ORDER BY posting_id
"""


@dataclass(frozen=True)
class Difference:
    """A figure that is kept, and what it should be by the movements."""

    what: str
    kept: str
    found: str


@dataclass(frozen=True)
class StockAudit:
    """How much was re-added, and what differs."""

    lots: int
    movements: int
    differences: list[Difference]

    @property
    def ok(self) -> bool:
        """Whether everything agrees."""
        return not self.differences


def audit_stock() -> StockAudit:
    """Re-add every balance, lot, reservation and cost; reads only, a fixed number of queries."""
    found: list[Difference] = []
    found += quantities_differ()
    costs, issued = costs_differ()
    found += costs
    found += entries_differ()
    found += issued
    found += [
        Difference("the database's guard", "missing", f"trigger {name}")
        for name in missing_triggers()
    ]
    return StockAudit(Lot.objects.count(), Movement.objects.count(), found)


def selected(*parts: str) -> list[tuple[Any, ...]]:
    """Run a statement made of parts of this module, its kinds filled in as parameters."""
    text = ", ".join(parts)
    params = {
        f"{name}{place}": value
        for name, kinds in KINDS.items()
        for place, value in enumerate(kinds)
    }
    marks = {
        name: ", ".join(f"%({name}{place})s" for place in range(len(kinds)))
        for name, kinds in KINDS.items()
    }
    with connection.cursor() as cursor:
        cursor.execute(text.format(**marks), params)
        return list(cursor.fetchall())


def differ(what: str, kept: object, found: object) -> Iterable[Difference]:
    """Yield a difference where two figures are not the same."""
    if kept != found:
        yield Difference(what, str(kept), str(found))


def pounds(pence: Any) -> Decimal:
    """Return a sum of whole pence in pounds."""
    return (Decimal(pence) / 100).quantize(Decimal("0.01"))


def quantities_differ() -> Iterator[Difference]:
    """Compare each balance with its movements, both ways; then each lot's sums with them.

    A lot's sum of what is reserved is compared with its reservations and what is kept back.
    """
    rows = selected(MOVED, BALANCES, LOTS)
    spots = [row for row in rows if row[2] is not None]
    names = dict(Place.objects.filter(pk__in={row[2] for row in spots}).values_list("pk", "name"))
    for _, code, place_id, kept, found, *_ in sorted(spots, key=lambda row: (row[0], row[2])):
        yield Difference(f"{code} in {names[place_id]}", str(int(kept)), str(int(found)))
    lots = [row for row in rows if row[2] is None]
    for _, code, _, *figures in sorted(lots, key=lambda row: row[0]):
        on_hand, yard, at_sites, sites, reserved, held = map(int, figures)
        yield from differ(f"{code} in the yard", on_hand, yard)
        yield from differ(f"{code} at sites", at_sites, sites)
        yield from differ(f"{code} reserved", reserved, held)


def costs_differ() -> tuple[list[Difference], list[Difference]]:
    """Compare what jobs and split-off lots took of each lot with its units and its cost.

    And what jobs' requirements say was issued with the movements, by job and item: what stood in
    for another item counts as what it was, by the record made when it was issued.
    """
    lots: list[Difference] = []
    issued: list[Difference] = []
    for _, name, job, kept, units, cost, taken in sorted(selected(DRAWN, COSTS)):
        if job:
            issued += differ(f"{name} issued to {job}", int(kept), int(units))
            continue
        lots += differ(f"{name} costed", int(kept), int(units))
        if not 0 <= taken <= cost:
            lots.append(Difference(f"{name} cost", f"{pounds(cost)}", f"{pounds(taken)} taken"))
    return lots, issued


def entries_differ() -> Iterator[Difference]:
    """Compare each posting's costs with the entries that the jobs carry for it."""
    for posting_id, kept, found in selected(ENTRIES):
        yield Difference(
            f"cost of posting {posting_id} on its job", str(pounds(kept)), str(pounds(found))
        )
