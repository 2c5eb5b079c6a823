"""Time-phased netting against published records of material requirements planning."""

from __future__ import annotations

from stock.reorder.rules import Batch, net_periods, release_periods
from tests.outside.sources import fact

SHUTTERS = "https://holooly.com/?p=688064"
ITEM_C = "https://it.scribd.com/presentation/353225171/Mrp"
DEFINITION = "https://jrblindonesia.dbl.id/lock-code/15633454"


def planned(gross: list[int], scheduled: list[int], on_hand: int, lot: int = 1) -> list[int]:
    return [row.planned for row in net_periods(gross, scheduled, [Batch(on_hand)], lot=lot)]


def weeks(**quantities: int) -> list[int]:
    """Eight weeks, numbered from 1 as the books do: w4=100."""
    return [quantities.get(f"w{week}", 0) for week in range(1, 9)]


@fact(rows=2, source=SHUTTERS, mark="derived")
def test_shutters_are_released_a_week_before() -> None:
    """100 shutters in week 4 and 150 in week 8, assembly one week."""
    receipts = planned(weeks(w4=100, w8=150), weeks(), 0)
    assert list(release_periods(receipts, 1).by_period) == weeks(w3=100, w7=150)


@fact(rows=2, source=SHUTTERS, mark="derived")
def test_frames_lot_for_lot() -> None:
    """Two frames a shutter, lead two weeks: releases 200 in week 1 and 300 in week 5."""
    receipts = planned(weeks(w3=200, w7=300), weeks(), 0)
    assert list(release_periods(receipts, 2).by_period) == weeks(w1=200, w5=300)


@fact(rows=4, source=SHUTTERS, mark="derived")
def test_wood_sections_lot_for_lot() -> None:
    """Four sections a shutter, 70 scheduled in week 1, lead one week: net 330 and 600."""
    rows = net_periods(weeks(w3=400, w7=600), weeks(w1=70), [])
    assert [row.net for row in rows] == weeks(w3=330, w7=600)
    releases = release_periods([row.planned for row in rows], 1)
    assert list(releases.by_period) == weeks(w2=330, w6=600)


@fact(rows=4, source=SHUTTERS, mark="derived")
def test_frames_in_lots_of_320() -> None:
    """Frames bought by 320: releases in weeks 1 and 5, on hand 120 and then 140."""
    rows = net_periods(weeks(w3=200, w7=300), weeks(), [], lot=320)
    releases = release_periods([row.planned for row in rows], 2)
    assert list(releases.by_period) == weeks(w1=320, w5=320)
    assert (rows[2].projected, rows[6].projected) == (120, 140)


@fact(rows=4, source=SHUTTERS, mark="derived")
def test_wood_sections_in_multiples_of_70() -> None:
    """Sections bought by 70: releases 350 in week 2 and 630 in week 6, on hand 20 and then 50."""
    rows = net_periods(weeks(w3=400, w7=600), weeks(w1=70), [], lot=70)
    releases = release_periods([row.planned for row in rows], 1)
    assert list(releases.by_period) == weeks(w2=350, w6=630)
    assert (rows[2].projected, rows[6].projected) == (20, 50)


@fact(rows=10, source=ITEM_C, mark="derived")
def test_record_of_item_c() -> None:
    """Item C: lot 230, lead 2, 37 on hand, 230 scheduled in week 1."""
    gross = [150, 0, 0, 120, 0, 150, 120, 0]
    rows = net_periods(gross, weeks(w1=230), [Batch(37)], lot=230)
    assert [row.projected for row in rows] == [117, 117, 117, 227, 227, 77, 187, 187]
    releases = release_periods([row.planned for row in rows], 2)
    assert list(releases.by_period) == weeks(w2=230, w5=230)
    assert releases.past_due == 0


@fact(rows=1, source=DEFINITION, mark="derived")
def test_release_before_the_first_period_is_past_due() -> None:
    """Lot 200, lead 4, net in week 3: ordered before the record begins, and said so."""
    rows = net_periods(weeks(w3=150), weeks(), [], lot=200)
    releases = release_periods([row.planned for row in rows], 4)
    assert releases.past_due == 200
    assert list(releases.by_period) == weeks()
