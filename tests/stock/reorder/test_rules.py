"""Netting: laws that hold for any record, and what expires."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from stock.reorder.rules import Batch, join_near, net_periods, pallet_words, release_periods

quantities = st.integers(0, 500)
records = st.lists(st.tuples(quantities, quantities), min_size=1, max_size=20)
stocks = st.lists(
    st.builds(Batch, quantity=quantities, last=st.none() | st.integers(0, 20)), max_size=4
)


@given(
    record=records, stock=stocks, lot=st.integers(1, 60), safety=st.integers(0, 100),
    fill=st.integers(0, 200),
)  # fmt: skip
def test_stock_never_falls_below_safety_and_nothing_is_lost(
    record: list[tuple[int, int]], stock: list[Batch], lot: int, safety: int, fill: int
) -> None:
    gross, scheduled = [g for g, _ in record], [s for _, s in record]
    rows = net_periods(gross, scheduled, stock, safety=safety, lot=lot, fill_to=fill)
    before = sum(batch.quantity for batch in stock)
    for row in rows:
        after = before - row.expired + row.scheduled + row.planned - row.gross
        assert row.projected == after >= safety
        assert row.planned % lot == 0
        assert bool(row.planned) == bool(row.net)
        before = row.projected


@given(record=records, stock=stocks)
def test_what_is_planned_lot_for_lot_is_what_is_missing(
    record: list[tuple[int, int]], stock: list[Batch]
) -> None:
    rows = net_periods([g for g, _ in record], [s for _, s in record], stock)
    assert all(row.planned == row.net for row in rows)


@given(planned=st.lists(quantities, max_size=20), lead=st.integers(0, 25))
def test_no_release_is_dropped(planned: list[int], lead: int) -> None:
    releases = release_periods(planned, lead)
    assert sum(releases.by_period) + releases.past_due == sum(planned)


def test_what_expires_before_its_use_is_missing() -> None:
    rows = net_periods([0, 0, 10], [0, 0, 0], [Batch(10, last=1)])
    assert [(row.expired, row.planned) for row in rows] == [(0, 0), (0, 0), (10, 10)]


def test_last_usable_day_is_usable() -> None:
    assert net_periods([0, 10], [0, 0], [Batch(10, last=1)])[1].planned == 0


def test_what_expires_first_is_used_first() -> None:
    rows = net_periods([10, 10], [0, 0], [Batch(10), Batch(10, last=0)])
    assert [row.planned for row in rows] == [0, 0]


def test_below_safety_it_is_filled_up_to_most_in_whole_packs() -> None:
    (row,) = net_periods([0], [0], [Batch(9)], safety=10, lot=6, fill_to=40)
    assert (row.net, row.planned, row.projected) == (1, 36, 45)


def test_receipts_of_a_week_are_joined() -> None:
    assert join_near([5, 0, 3, 0, 0, 0, 0, 2, 1], 7) == {0: 8, 7: 3}


def test_pallets_are_said_when_there_are_any() -> None:
    assert pallet_words(52, 50, "52 bags") == "1 pallet and 2 over"
    assert pallet_words(100, 50, "100 bags") == "2 pallets"
    assert pallet_words(9, 50, "9 bags") == "9 bags"
    assert pallet_words(9, None, "9 bags") == "9 bags"
