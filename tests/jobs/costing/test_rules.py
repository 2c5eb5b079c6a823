"""Differences taken apart; the parts are the whole, to the penny."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from jobs.costing.rules import CategoryCost, JobCost, add_up, variance, whole_minutes

MONEY = st.decimals(-10_000, 100_000, places=2)
QUANTITY = st.decimals(0, 10_000, places=3)


@given(budget=MONEY, budget_quantity=QUANTITY, actual=MONEY, actual_quantity=QUANTITY)
@example(Decimal("0.01"), Decimal(3), Decimal("0.02"), Decimal(1))
def test_price_and_usage_are_the_whole_difference(
    budget: Decimal, budget_quantity: Decimal, actual: Decimal, actual_quantity: Decimal
) -> None:
    parts = variance(
        budget=budget, budget_quantity=budget_quantity, actual=actual,
        actual_quantity=actual_quantity,
    )  # fmt: skip
    assert parts.price + parts.usage == actual - budget == parts.total
    assert parts.price == parts.price.quantize(Decimal("0.01"))


@given(budget=MONEY, quantity=st.decimals("0.001", 10_000, places=3), actual=MONEY)
def test_the_same_quantity_leaves_price_alone(
    budget: Decimal, quantity: Decimal, actual: Decimal
) -> None:
    parts = variance(
        budget=budget, budget_quantity=quantity, actual=actual, actual_quantity=quantity
    )
    assert (parts.price, parts.usage) == (actual - budget, Decimal(0))


@pytest.mark.parametrize(
    ("hours", "rate", "price", "usage"),
    [
        # Standard costing as taught (memory): 40 h reckoned at £25, worked 46 h at £27:
        # rate (27 - 25) x 46 = 92 adverse, efficiency (46 - 40) x 25 = 150 adverse.
        ("46", "27", "92.00", "150.00"),
        # 36 h at £27: rate 2 x 36 = 72 adverse, efficiency (36 - 40) x 25 = 100 favourable.
        ("36", "27", "72.00", "-100.00"),
        ("40", "25", "0.00", "0.00"),
    ],
)
def test_a_worked_example(hours: str, rate: str, price: str, usage: str) -> None:
    parts = variance(
        budget=Decimal(1000), budget_quantity=Decimal(40),
        actual=Decimal(hours) * Decimal(rate), actual_quantity=Decimal(hours),
    )  # fmt: skip
    assert (parts.price, parts.usage) == (Decimal(price), Decimal(usage))


def test_without_a_reckoned_quantity_all_of_it_is_usage() -> None:
    parts = variance(
        budget=Decimal(0), budget_quantity=Decimal(0), actual=Decimal("87.50"),
        actual_quantity=Decimal(3),
    )  # fmt: skip
    assert (parts.price, parts.usage) == (Decimal(0), Decimal("87.50"))


def test_sums_of_a_job() -> None:
    rows = (
        CategoryCost("labour", "labour", Decimal(100), Decimal(0), Decimal("120.10")),
        CategoryCost("materials", "materials", Decimal(50), Decimal("20.05"), Decimal(40)),
    )
    total = JobCost(1, "J", "Drive", rows).total
    assert (total.budget, total.committed, total.actual) == (
        Decimal(150), Decimal("20.05"), Decimal("160.10"),
    )  # fmt: skip
    assert total.expected == Decimal("180.15")
    assert total.difference == Decimal("30.15")
    assert add_up("none", "none", []).expected == 0


@pytest.mark.parametrize(
    ("hours", "minutes"), [("8", 480), ("0.25", 15), ("0.33", 20), ("0.01", 1)]
)
def test_hours_as_whole_minutes(hours: str, minutes: int) -> None:
    assert whole_minutes(Decimal(hours)) == minutes
