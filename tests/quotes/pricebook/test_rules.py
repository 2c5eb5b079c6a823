"""The build-up of a price: its laws, and figures worked by hand."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.pricebook.rules import (
    PackPrice,
    build_up,
    cheapest,
    in_force,
    margin_in,
    overhead_on,
    price_at,
    stock_cost,
)

pence = st.integers(0, 10**9).map(lambda n: Decimal(n) / 100)
percent = st.integers(0, 99_99).map(lambda n: Decimal(n) / 100)
DAY = date(2026, 5, 14)


@given(pence, percent)
def test_price_is_never_below_the_floor(floor: Decimal, margin: Decimal) -> None:
    assert price_at(floor, margin) >= floor


@given(pence, percent)
def test_margin_is_its_share_of_the_price_to_half_a_penny(floor: Decimal, margin: Decimal) -> None:
    net = Fraction(price_at(floor, margin))

    exact = Fraction(floor) / (1 - Fraction(margin) / 100)

    assert abs(net - exact) <= Fraction(1, 200)


def test_margin_is_a_share_of_price_and_not_of_cost() -> None:
    # Common textbook relation: margin 25 % of price = mark-up 33⅓ % on cost.
    assert price_at(Decimal(300), Decimal(25)) == Decimal(400)
    assert margin_in(Decimal(400), Decimal(300)) == Decimal(25)
    assert margin_in(Decimal(0), Decimal(0)) is None


@pytest.mark.parametrize("margin", ["100", "120", "-1"])
def test_impossible_margin_is_refused(margin: str) -> None:
    with pytest.raises(ValueError, match="share of the price"):
        price_at(Decimal(100), Decimal(margin))


def test_overhead_is_half_up_in_pence() -> None:
    assert overhead_on(Decimal("100.05"), Decimal(10)) == Decimal("10.01")


def test_unit_cost_is_built_from_hours_plant_material_and_stock() -> None:
    cost = build_up(
        labour_hours=Decimal("0.15"), labour_hourly=Decimal(30), plant=Decimal("1.20"),
        material=Decimal("2.00"), waste_percent=Decimal(5),
        stock=stock_cost(1000, Decimal("9.95") / 2500, Decimal(5)),
    )  # fmt: skip

    # 4.50 + 1.20 + 2.00 × 1.05 + 3.98 × 1.05, by hand
    assert (cost.labour, cost.plant, cost.material) == (
        Decimal("4.5000"), Decimal("1.2000"), Decimal("2.1000"),
    )  # fmt: skip
    assert cost.stock == Decimal("4.1790")
    assert cost.direct == Decimal("11.9790")


def price(supplier: str, start: str, packs: int, pounds: str) -> PackPrice:
    number = {"Aber": 1, "Bell": 2}[supplier]
    return PackPrice(number, supplier, date.fromisoformat(start), packs, Decimal(pounds))


BOOK = [
    price("Aber", "2026-01-01", 1, "8.00"),
    price("Aber", "2026-05-15", 1, "5.00"),
    price("Aber", "2026-01-01", 48, "7.00"),
    price("Bell", "2026-01-01", 1, "7.40"),
]


@pytest.mark.parametrize(
    ("packs", "day", "pounds"),
    [(1, DAY, "7.40"), (47, DAY, "7.40"), (48, DAY, "7.00"), (1, date(2026, 5, 15), "5.00")],
)
def test_cheapest_takes_the_break_that_is_reached_on_its_day(
    packs: int, day: date, pounds: str
) -> None:
    found = cheapest(BOOK, packs, day)

    assert found is not None
    assert found.pack_price == Decimal(pounds)


def test_no_price_holds_before_the_first() -> None:
    assert cheapest(BOOK, 1, date(2025, 12, 31)) is None
    assert in_force(BOOK, date(2025, 12, 31)) == ()
