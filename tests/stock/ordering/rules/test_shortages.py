"""What is short when free stock and own orders are counted."""

from __future__ import annotations

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from stock.ordering.rules import FreeLot, Need, short_of

MON, TUE, WED = date(2026, 5, 18), date(2026, 5, 19), date(2026, 5, 20)
BAG = 20_000


def need(job: int = 1, bags: int = 44, **fields: object) -> Need:
    values: dict[str, object] = {
        "job_id": job, "item_id": 7, "colour_group": "buff", "phase": "lay",
        "quantity": bags * BAG, "needed_on": MON, "used_on": TUE,
    }  # fmt: skip
    return Need(**values | fields)  # type: ignore[arg-type]


def lot(number: int, bags: int, **fields: object) -> FreeLot:
    values: dict[str, object] = {
        "lot_id": number, "item_id": 7, "run": f"R{number}", "free": bags * BAG,
    }  # fmt: skip
    return FreeLot(**values | fields)  # type: ignore[arg-type]


def test_free_stock_covers_a_need() -> None:
    assert short_of([need()], [lot(1, 44)], {}) == []


def test_what_free_stock_does_not_cover_is_short() -> None:
    (short,) = short_of([need(bags=44)], [lot(1, 30), lot(2, 4)], {})
    assert (short.quantity, short.in_yard) == (10 * BAG, 34 * BAG)


def test_one_run_is_all_or_nothing_and_odd_bags_are_said() -> None:
    (short,) = short_of([need(run_matched=True)], [lot(1, 30), lot(2, 43)], {})
    assert (short.quantity, short.in_yard, short.odd) == (44 * BAG, 0, 73 * BAG)


def test_one_run_may_lie_in_several_lots() -> None:
    lots = [lot(1, 30, run="A"), lot(2, 14, run="A"), lot(3, 43, run="B")]
    assert short_of([need(run_matched=True)], lots, {}) == []


def test_rest_of_a_need_wants_the_run_of_its_first_part() -> None:
    asked = need(bags=4, run_matched=True, runs=frozenset({"A"}))
    assert short_of([asked], [lot(1, 10, run="A")], {}) == []
    (short,) = short_of([asked], [lot(1, 10, run="B")], {})
    assert short.quantity == 4 * BAG


def test_job_that_needs_it_first_takes_it() -> None:
    late, early = need(1, 10, needed_on=TUE, used_on=WED), need(2, 10)
    (short,) = short_of([late, early], [lot(1, 10)], {})
    assert short.need == late


def test_own_delivery_stays_with_the_job_that_ordered_it() -> None:
    late, early = need(1, 10, needed_on=TUE, used_on=WED), need(2, 10)
    (short,) = short_of([late, early], [lot(1, 10, for_jobs=frozenset({1}))], {})
    assert short.need == early


def test_order_for_the_job_covers_its_need() -> None:
    assert short_of([need()], [], {(1, 7, "buff"): 44 * BAG}) == []
    (short,) = short_of([need()], [], {(1, 7, "buff"): 40 * BAG})
    assert (short.quantity, short.on_order) == (4 * BAG, 40 * BAG)


def test_order_for_another_job_does_not_count() -> None:
    (short,) = short_of([need()], [], {(2, 7, "buff"): 44 * BAG})
    assert short.quantity == 44 * BAG


def test_order_for_the_yard_counts_from_the_day_it_comes() -> None:
    assert short_of([need()], [lot(-1, 44, comes_on=MON)], {}) == []
    (short,) = short_of([need()], [lot(-1, 44, comes_on=TUE)], {})
    assert short.quantity == 44 * BAG


def test_lot_must_be_in_date_on_the_day_with_margin() -> None:
    asked = need(bags=10, margin_days=7)
    assert short_of([asked], [lot(1, 10, expiry=date(2026, 5, 26))], {}) == []
    (short,) = short_of([asked], [lot(1, 10, expiry=date(2026, 5, 25))], {})
    assert short.quantity == 10 * BAG


needs = st.lists(
    st.builds(
        need,
        job=st.integers(1, 4),
        bags=st.integers(1, 20),
        used_on=st.sampled_from([TUE, WED]),
    ),
    max_size=4,
    unique_by=lambda each: each.job_id,
)
lots = st.lists(
    st.builds(
        lot,
        number=st.integers(1, 9),
        bags=st.integers(1, 20),
        for_jobs=st.frozensets(st.integers(1, 4), max_size=1),
        expiry=st.sampled_from([None, MON, TUE, WED]),
    ),
    max_size=5,
    unique_by=lambda each: each.lot_id,
)


@given(needs=needs, lots=lots, order=st.randoms(use_true_random=False))
def test_nothing_is_counted_twice_and_the_order_of_rows_does_not_matter(
    needs: list[Need], lots: list[FreeLot], order: object
) -> None:
    shorts = short_of(needs, lots, {})
    used = sum(each.quantity for each in needs) - sum(each.quantity for each in shorts)
    assert 0 <= used <= sum(each.free for each in lots)
    shuffled, mixed = list(needs), list(lots)
    order.shuffle(shuffled)  # type: ignore[attr-defined]
    order.shuffle(mixed)  # type: ignore[attr-defined]
    assert short_of(shuffled, mixed, {}) == shorts
