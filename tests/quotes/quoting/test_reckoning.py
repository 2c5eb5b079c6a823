"""The laws of a quote's sums: nothing is lost or found between lines, options, VAT and total."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from quotes.quoting.rules import (
    Priced,
    gross_of_lines,
    reckon,
    spread,
    spread_whole,
    vat_rate,
    with_options,
)

pence = st.integers(0, 5_000_000).map(lambda n: Decimal(n) / 100)
whole_pounds = st.integers(0, 5_000).map(lambda n: Decimal(n) + Decimal("0.00"))
percents = st.integers(0, 90_00).map(lambda n: Decimal(n) / 100)
plain = st.builds(Priced, pence)
lines = st.lists(
    plain | st.builds(Priced, pence, pence) | st.builds(Priced, pence, option=st.just(True)),
    max_size=12,
)  # fmt: skip
TERMS: dict[str, Any] = {"vat_code": "standard", "vat_percent": Decimal(20)}


@given(lines, percents, percents)
def test_lines_and_vat_add_up(some: list[Priced], overhead: Decimal, margin: Decimal) -> None:
    found = reckon(some, overhead_percent=overhead, margin_percent=margin, **TERMS)

    counted = [net for net, line in zip(found.line_nets, some, strict=True) if not line.option]
    assert sum(counted, Decimal(0)) == found.net
    assert found.net + found.vat == found.gross
    assert abs(Fraction(found.vat) - Fraction(found.net) / 5) <= Fraction(1, 200)
    assert sum(gross_of_lines(counted, found.gross), Decimal(0)) == (found.gross if counted else 0)


OWN = [Priced(Decimal(0), own="minimum"), Priced(Decimal(0), own="discount")]
typed = st.builds(Priced, pence, pence, later=st.booleans())
discounts = st.tuples(percents, st.just(Decimal(0))) | st.tuples(st.just(Decimal(0)), pence)


@settings(max_examples=150)
@given(
    st.lists(plain | typed | st.builds(Priced, pence, whole_pounds, option=st.just(True)),
             max_size=10),
    percents, percents, pence, discounts, st.sampled_from(["20", "5", "0"]).map(Decimal),
)  # fmt: skip
def test_lines_options_discount_least_price_and_vat_add_up(
    some: list[Priced], overhead: Decimal, margin: Decimal, minimum: Decimal,
    discount: tuple[Decimal, Decimal], vat: Decimal,
) -> None:  # fmt: skip
    every = [*some, *OWN]
    found = reckon(
        every, overhead_percent=overhead, margin_percent=margin, vat_code="reduced",
        vat_percent=vat, minimum=minimum, discount_percent=discount[0],
        discount_fixed=discount[1],
    )  # fmt: skip
    nets = dict(zip(range(len(every)), found.line_nets, strict=True))
    work = [n for n, line in enumerate(some) if not line.option]
    made_up, off = nets[len(some)], nets[len(some) + 1]

    # the lines that the customer reads add up to the price, with VAT and without
    counted = [nets[n] for n in work] + [made_up, off]
    assert sum(counted, Decimal(0)) == found.net
    assert sum(gross_of_lines(counted, found.gross), Decimal(0)) == found.gross
    # VAT once on the whole, half up, whatever the discount
    assert abs(Fraction(found.vat) - Fraction(found.net) * Fraction(vat) / 100) <= Fraction(1, 200)
    # before the discount a job with work in it is never below its least price
    assert not work or found.net - off >= minimum
    assert made_up == 0 or all(some[n].fixed is not None for n in work)
    sure = sum((nets[n] for n in work if not some[n].later), made_up)
    share = Fraction(sure) * Fraction(discount[0]) / 100
    assert abs(Fraction(-off) - (Fraction(discount[1]) or share)) <= Fraction(1, 200)
    if found.net < 0:
        return  # half up turns round below nothing; the services refuse such a price
    # each option adds what stands beside it, also on a discounted price
    options = [nets[n] for n, line in enumerate(some) if line.option]
    taken = with_options(found.net, options, vat)
    each = [with_options(option, (), vat)[2] for option in options]
    assert taken[2] == found.gross + sum(each, Decimal(0))


@given(st.lists(plain, min_size=1, max_size=12), percents, percents)
def test_reckoned_price_is_never_below_the_floor_and_its_margin_is_exact(
    some: list[Priced], overhead: Decimal, margin: Decimal
) -> None:
    found = reckon(some, overhead_percent=overhead, margin_percent=margin, **TERMS)

    assert found.floor == found.direct + found.overhead
    assert found.net >= found.floor
    exact = Fraction(found.floor) / (1 - Fraction(margin) / 100)
    assert abs(Fraction(found.net) - exact) <= Fraction(1, 200)


@given(
    pence, st.lists(whole_pounds, max_size=6), st.sampled_from(["20", "5", "0"]).map(Decimal)
)  # fmt: skip
def test_options_add_up_with_vat_in_any_choice(
    net: Decimal, options: list[Decimal], rate: Decimal
) -> None:
    """Whole pounds at 20 % and at 5 % are whole pence: each option adds what stands beside it."""
    base = with_options(net, (), rate)[2]
    each = [with_options(option, (), rate)[2] for option in options]

    assert with_options(net, options, rate)[2] == base + sum(each, Decimal(0))


@given(st.builds(Priced, pence, option=st.just(True)), percents, percents)
def test_an_options_price_is_in_whole_pounds(
    option: Priced, overhead: Decimal, margin: Decimal
) -> None:
    found = reckon([option], overhead_percent=overhead, margin_percent=margin, **TERMS)

    assert found.line_nets[0] % 1 == 0
    assert (found.net, found.gross) == (Decimal(0), Decimal(0))


def test_figures_by_hand() -> None:
    # 1,000.00 direct, 12 % overhead: floor 1,120.00; margin 20 %: 1,400.00; VAT 280.00
    found = reckon(
        [Priced(Decimal(600)), Priced(Decimal(400))],
        overhead_percent=Decimal(12), margin_percent=Decimal(20), **TERMS,
    )  # fmt: skip

    assert (found.floor, found.net) == (Decimal(1120), Decimal(1400))
    assert (found.vat, found.gross) == (Decimal(280), Decimal(1680))
    assert found.line_nets == (Decimal(840), Decimal(560))
    assert (found.margin, found.margin_share) == (Decimal(280), Decimal(20))


def test_vat_is_taken_once_on_the_total() -> None:
    # Test pair of the VAT rounding pages (shared table, derived): 3 × 0.33 at 20 % is 0.20 on the
    # total, half up; by line it would be 0.21 (VATREC12010: lines must not be rounded one by one).
    found = reckon(
        [Priced(Decimal(0), Decimal("0.33"))] * 3,
        overhead_percent=Decimal(0), margin_percent=Decimal(0), **TERMS,
    )  # fmt: skip

    assert (found.net, found.vat) == (Decimal("0.99"), Decimal("0.20"))


def test_the_least_price_of_a_job_raises_the_reckoned_lines() -> None:
    found = reckon(
        [Priced(Decimal(100)), Priced(Decimal(0), Decimal(50))],
        overhead_percent=Decimal(0), margin_percent=Decimal(0), minimum=Decimal(400), **TERMS,
    )  # fmt: skip

    assert found.net == 400
    assert found.line_nets == (Decimal(350), Decimal(50))


@pytest.mark.parametrize(
    ("code", "rate"), [("standard", "20"), ("reduced", "20"), ("zero", "0"), ("reverse", "0")]
)
def test_no_vat_is_added_at_zero_rate_and_under_reverse_charge(code: str, rate: str) -> None:
    assert vat_rate(code, Decimal(20)) == Decimal(rate)


@given(
    st.integers(-(10**6), 10**6).map(lambda n: Decimal(n) / 100),
    st.lists(st.integers(-500, 5000).map(Decimal), min_size=1, max_size=9),
)
def test_a_sum_spread_over_lines_adds_up(total: Decimal, weights: list[Decimal]) -> None:
    assert sum(spread(total, weights), Decimal(0)) == total


@given(st.integers(0, 10**6), st.lists(st.floats(0, 1000), min_size=1, max_size=9))
def test_a_whole_number_spread_stays_whole_and_adds_up(total: int, weights: list[float]) -> None:
    assert sum(spread_whole(total, weights)) == total
