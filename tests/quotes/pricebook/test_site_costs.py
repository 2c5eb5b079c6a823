"""Hire, travel, muck and day-work: worked by hand, and held against every choice."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from quotes.pricebook.rules import daywork_of, hire_of, muck_of, travel_of

D = Decimal
pounds = st.integers(0, 40_000).map(lambda n: D(n) / 100)


@given(st.integers(0, 40).map(lambda n: D(n) / 2), pounds, pounds, st.integers(1, 10),
       st.integers(1, 7))  # fmt: skip
def test_no_weeks_and_days_that_cover_the_hire_cost_less(
    days: Decimal, day: Decimal, week: Decimal, least: int, span: int
) -> None:
    found = hire_of(
        days=days, day_rate=day, week_rate=week, minimum_days=least, days_a_week=span
    )  # fmt: skip

    needed = max(Fraction(days), Fraction(least))
    every = [
        w * week + d * day for w in range(45) for d in range(45) if w * span + d >= needed
    ]  # fmt: skip
    assert found.cost == min(every)
    assert found.weeks * span + found.days >= needed


def test_hire_by_hand() -> None:
    # 3 days at £70 are £210; the whole week costs £200
    assert hire_of(days=D(3), day_rate=D(70), week_rate=D(200)).cost == D(200)
    # at least 2 days are charged; no week's rate
    assert hire_of(days=D(1), day_rate=D(70), minimum_days=2).cost == D(140)
    # 6.5 days are 7: a week and two days
    found = hire_of(days=D("6.5"), day_rate=D(70), week_rate=D(200))
    assert (found.charged_days, found.weeks, found.days, found.cost) == (7, 1, 2, D(340))


def test_travel_by_hand() -> None:
    # 24 miles at 45 p four times; 2 people for 1.25 h four times at £30
    found = travel_of(
        miles=D(24), trips=4, hours=D("1.25"), people=2, mile_rate=D("0.45"), hourly=D(30)
    )  # fmt: skip

    assert (found.mileage, found.hours, found.labour) == (D("43.20"), D(10), D("300.00"))


@pytest.mark.parametrize(("load", "loads"), [("9", 1), ("4.4252", 1), ("4.42", 2), ("1.5", 3)])
def test_muck_by_hand(load: str, loads: int) -> None:
    # Common practice, no source: clay bulks by about 1.3. 21.08 m² by 150 mm is 3.162 m³ solid,
    # 4.1106 m³ loose; at 1.0765… t a loose m³ the mass is checked to four places below.
    found = muck_of(
        area_m2=D("21.08"), depth_mm=D(150), bulking=D("1.3"), density=D("1.0765"), load_t=D(load)
    )  # fmt: skip

    assert (found.solid_m3, found.loose_m3) == (D("3.162"), D("4.1106"))
    assert abs(found.tonnes - D("4.42506")) < D("0.00001")
    assert found.loads == loads


@given(pounds, pounds, pounds, st.integers(0, 200).map(D))
def test_daywork_at_one_percentage_is_the_prime_cost_and_that(
    labour: Decimal, plant: Decimal, material: Decimal, percent: Decimal
) -> None:
    found = daywork_of(
        hours=D(1), hourly=labour, plant=plant, material=material, percents=(percent,) * 3
    )  # fmt: skip

    assert found.prime == labour + plant + material
    exact = Fraction(found.prime) * (1 + Fraction(percent) / 100)
    assert found.charge is not None
    assert abs(Fraction(found.charge) - exact) <= Fraction(3, 200)


def test_daywork_without_percentages_has_no_charge_of_its_own() -> None:
    found = daywork_of(hours=D(8), hourly=D(30), plant=D(70), material=D(5), percents=None)
    assert (found.prime, found.charge) == (D(315), None)
