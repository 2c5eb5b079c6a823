"""Packs, figures of a delivery, landed cost."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock.ordering.rules import (
    Arrived,
    check_arrived,
    claim_by,
    cost_of_delivery,
    order_total,
    packs_for,
    plain_run,
    share_carriage,
)


@pytest.mark.parametrize(
    ("quantity", "packs"), [(1, 1), (20_000, 1), (20_001, 2), (880_000, 44), (0, 0)]
)
def test_packs_are_whole_and_enough(quantity: int, packs: int) -> None:
    assert packs_for(quantity, 20_000) == packs


@given(
    price=st.decimals(0, 500, places=4),
    parts=st.lists(st.integers(1, 60), min_size=1, max_size=8),
)
def test_deliveries_of_a_line_add_up_to_its_price(price: Decimal, parts: list[int]) -> None:
    costs, before = Decimal(0), 0
    for packs in parts:
        costs += cost_of_delivery(price, before, packs)
        before += packs
    assert costs == order_total([(price, sum(parts))], Decimal(0))


@given(
    carriage=st.decimals(0, 500, places=2),
    lines=st.lists(st.tuples(st.integers(0, 30_000), st.integers(0, 50)), min_size=1, max_size=6),
)
def test_carriage_is_shared_to_the_penny(carriage: Decimal, lines: list[tuple[int, int]]) -> None:
    masses = [mass * packs for mass, packs in lines]
    packs = [packs for _, packs in lines]
    shares = share_carriage(carriage, masses, packs)
    assert sum(shares) == (carriage if sum(packs) else 0)


def test_carriage_goes_by_mass() -> None:
    # 3 t of stone and 1 t of kits: three quarters and one quarter of 60.00.
    assert share_carriage(Decimal(60), [3_000_000, 1_000_000], [150, 140]) == [
        Decimal("45.00"), Decimal("15.00"),
    ]  # fmt: skip


def test_figures_of_a_line_that_fit() -> None:
    assert check_arrived(Arrived(good=40, held=2, refused=1, short=1), 44) == ""
    assert check_arrived(Arrived(good=44, over=2), 44) == ""


def test_more_than_was_to_come_is_over() -> None:
    assert check_arrived(Arrived(good=45), 44) == (
        "Only 44 were still to come: count what is beyond that as over. "
        "Good, held, refused and short make 45."
    )


def test_short_and_over_at_once_is_a_mistake() -> None:
    assert check_arrived(Arrived(good=40, short=2, over=2), 44) == (
        "A line cannot be short and over at once; correct one of the two."
    )


def test_claim_runs_in_calendar_days() -> None:
    assert claim_by(date(2026, 5, 15), 3) == date(2026, 5, 18)


def test_run_is_compared_without_stray_blanks() -> None:
    assert plain_run("  26-0502  b ") == "26-0502 B"
