"""Buying for a job: held against every way there is, tried one by one."""

from __future__ import annotations

import itertools
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from quotes.pricebook.rules import Carriage, PackPrice, Plan, Want, cheapest_plan, purchase
from quotes.pricebook.rules.buying import carriage_on

DAY = date(2026, 5, 14)
OPEN = date(2026, 1, 1)
MOST = 9  # packs; no break lies beyond


def price(supplier: int, from_packs: int, pounds: str | Decimal) -> PackPrice:
    return PackPrice(supplier, f"supplier {supplier}", OPEN, from_packs, Decimal(pounds))


pounds = st.integers(1, 40).map(lambda n: Decimal(n) / 2)
breaks = st.dictionaries(st.integers(2, MOST), pounds, max_size=2)
own = st.tuples(pounds, breaks)  # the price of one, and those of larger quantities
books = st.lists(st.dictionaries(st.integers(1, 3), own, min_size=1), min_size=1, max_size=3)
counts = st.lists(st.integers(1, 6), min_size=3, max_size=3)
flat = st.dictionaries(
    st.integers(1, 3), st.integers(0, 30).map(lambda n: [Carriage(Decimal(n))]), max_size=3
)

# Small enough to try every quantity: no carriage buys more than five packs beyond break and need.
few = st.integers(4, 20).map(Decimal)
few_books = st.lists(
    st.dictionaries(
        st.integers(1, 3), st.tuples(few, st.dictionaries(st.integers(2, 5), few, max_size=2)),
        min_size=1,
    ),
    min_size=1, max_size=3,
)  # fmt: skip
way = st.builds(
    Carriage, st.integers(0, 20).map(Decimal), st.integers(0, 60).map(Decimal),
    st.none() | st.integers(0, 80).map(Decimal),
)  # fmt: skip
stepped = st.dictionaries(st.integers(1, 3), st.lists(way, min_size=1, max_size=2), max_size=3)
Book = dict[int, tuple[Decimal, dict[int, Decimal]]]


def prices_in(book: dict[int, tuple[Decimal, dict[int, Decimal]]]) -> list[PackPrice]:
    return [
        price(supplier, packs, each)
        for supplier, (one, more) in book.items()
        for packs, each in ({1: one} | more).items()
    ]


def unit_price(book: tuple[Decimal, dict[int, Decimal]], packs: int) -> Decimal:
    """What the supplier asks for one of so many: the break reached last."""
    one, more = book
    return more[max(n for n in more if n <= packs)] if min(more, default=99) <= packs else one


@settings(max_examples=60)
@given(books, counts, flat)
def test_with_flat_carriage_no_quantity_from_anybody_is_cheaper(
    book: list[dict[int, tuple[Decimal, dict[int, Decimal]]]],
    wanted: list[int],
    carriage: dict[int, list[Carriage]],
) -> None:
    plan = cheapest_plan(
        [Want(n, wanted[n]) for n in range(len(book))],
        {n: prices_in(each) for n, each in enumerate(book)}, carriage, DAY,
    )  # fmt: skip

    ways = [
        [(who, n * unit_price(own, n)) for who, own in each.items()
         for n in range(wanted[k], MOST + 1)]
        for k, each in enumerate(book)
    ]  # fmt: skip
    least = min(
        sum((cost for _, cost in chosen), Decimal(0))
        + sum(carriage[who][0].price for who in {who for who, _ in chosen} if who in carriage)
        for chosen in itertools.product(*ways)
    )
    assert (plan.total, plan.tried_all, plan.short) == (least, True, ())
    assert all(each.packs >= each.needed for each in plan.bought)


def least_order(
    owns: list[tuple[Decimal, dict[int, Decimal]]], needs: list[int], ways: list[Carriage]
) -> tuple[bool, Decimal]:
    """(short, total) of the cheapest order of these items among every quantity of each."""
    weighed = []
    costs = [
        [n * unit_price(own, n) for n in range(need, 11)]
        for own, need in zip(owns, needs, strict=True)
    ]
    for chosen in itertools.product(*costs):
        goods = sum(chosen, Decimal(0))
        asked, met = carriage_on(goods, ways)
        weighed.append((goods + asked, not met))
    total, short = min(weighed)
    return short, total


@settings(max_examples=60)
@given(few_books, st.lists(st.integers(1, 4), min_size=3, max_size=3), stepped)
@example(  # five packs with free carriage cost what three cost that nobody brings
    book=[{3: (Decimal(7), {})}, {1: (Decimal(4), {})}], wanted=[3, 1, 1],
    ways={
        1: [Carriage(Decimal(0))], 2: [Carriage(Decimal(0))],
        3: [Carriage(Decimal(0), Decimal(29)), Carriage(Decimal(14), Decimal(22))],
    },
)  # fmt: skip
def test_no_assignment_and_no_quantity_is_cheaper_with_least_orders_and_free_carriage(
    book: list[Book], wanted: list[int], ways: dict[int, list[Carriage]]
) -> None:
    plan = cheapest_plan(
        [Want(n, wanted[n]) for n in range(len(book))],
        {n: prices_in(each) for n, each in enumerate(book)}, ways, DAY,
    )  # fmt: skip

    orders: dict[tuple[int, ...], tuple[bool, Decimal]] = {}
    weighed = []
    for who in itertools.product(*book):
        short, total = 0, Decimal(0)
        for supplier in set(who):
            items = tuple(n for n, each in enumerate(who) if each == supplier)
            if (supplier, *items) not in orders:
                orders[supplier, *items] = least_order(
                    [book[n][supplier] for n in items], [wanted[n] for n in items],
                    ways.get(supplier, []),
                )  # fmt: skip
            few_goods, cost = orders[supplier, *items]
            short, total = short + few_goods, total + cost
        weighed.append((short, total))
    assert (len(plan.short), plan.total) == min(weighed)
    assert plan.tried_all


@pytest.mark.parametrize("limit", [1, 3, 5_000])
@settings(max_examples=40)
@given(book=books, wanted=counts, ways=stepped)
def test_together_is_never_dearer_than_each_by_itself_however_short_the_search(
    limit: int, book: list[Book], wanted: list[int], ways: dict[int, list[Carriage]]
) -> None:
    wants = [Want(n, wanted[n]) for n in range(len(book))]
    prices = {n: prices_in(each) for n, each in enumerate(book)}
    alone = [cheapest_plan([want], prices, ways, DAY) for want in wants]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(purchase, "MOST_TRIED", limit)
        plan = cheapest_plan(wants, prices, ways, DAY)

    separate = (
        len({name for each in alone for name in each.short}),
        sum((each.total for each in alone), Decimal(0)),
    )
    assert (len(plan.short), plan.total) <= separate


def test_further_packs_are_bought_where_they_bring_the_order_free() -> None:
    # by hand: 39 bags at 7.40 are 288.60 and 45.00 carriage; 41 are 303.40, brought free from 300
    ways = {1: [Carriage(Decimal(45), free_from=Decimal(300))]}

    plan = cheapest_plan([Want(1, 39)], {1: [price(1, 1, "7.40")]}, ways, DAY)

    (bag,) = plan.bought
    assert (bag.packs, bag.left, bag.for_break, plan.total) == (41, 2, False, Decimal("303.40"))
    # 34 are 251.60 and 45.00 carriage, less than 41
    assert cheapest_plan([Want(1, 34)], {1: [price(1, 1, "7.40")]}, ways, DAY).total == Decimal(
        "296.60"
    )


def test_a_pallet_may_cost_less_than_the_bags_that_are_needed() -> None:
    # by hand: 45 bags at 7.40 are 333.00; a pallet of 50 at 6.20 is 310.00
    plan = cheapest_plan([Want(1, 45)], {1: [price(1, 1, "7.40"), price(1, 50, "6.20")]}, {}, DAY)

    (bag,) = plan.bought
    assert (bag.needed, bag.packs, bag.cost) == (45, 50, Decimal("310.00"))
    assert (bag.for_break, bag.plain) == (True, Decimal("333.00"))


def test_carriage_is_paid_once_an_order_and_may_turn_the_choice() -> None:
    # by hand: both from 1: 100 + 30 + 20 carriage; split: 100 + 25 + 20 + 20
    prices = {1: [price(1, 1, "100")], 2: [price(1, 1, "30"), price(2, 1, "25")]}
    ways = {1: [Carriage(Decimal(20))], 2: [Carriage(Decimal(20))]}

    plan = cheapest_plan([Want(1, 1), Want(2, 1)], prices, ways, DAY)

    assert (plan.goods, plan.total) == (Decimal(130), Decimal(150))
    assert plan.carriage == {1: Decimal(20)}


@pytest.mark.parametrize(
    ("goods", "asked"),
    [("99", (Decimal(25), False)), ("100", (Decimal(25), True)), ("300", (Decimal(0), True))],
)
def test_least_order_and_free_carriage_at_their_very_figures(
    goods: str, asked: tuple[Decimal, bool]
) -> None:
    ways = [Carriage(Decimal(25), Decimal(100), Decimal(300))]

    assert carriage_on(Decimal(goods), ways) == asked


def test_of_several_ways_to_order_the_cheapest_that_takes_the_order_counts() -> None:
    online, telephone = Carriage(Decimal(25), Decimal(100)), Carriage(Decimal(40), Decimal(10))

    assert carriage_on(Decimal(99), [online, telephone]) == (Decimal(40), True)
    assert carriage_on(Decimal(100), [online, telephone]) == (Decimal(25), True)
    # below every least order: that of the lowest, and it is said
    assert carriage_on(Decimal(9), [online, telephone]) == (Decimal(40), False)


def test_without_a_price_an_item_is_left_out() -> None:
    assert cheapest_plan([Want(1, 3)], {}, {}, DAY) == Plan()


def test_too_many_ways_are_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(purchase, "MOST_TRIED", 2)
    prices = {n: [price(k, 1, Decimal(10 + (k + n) % 4)) for k in range(1, 5)] for n in range(6)}
    ways = {k: [Carriage(Decimal(9 - k), Decimal(40), Decimal(60))] for k in range(1, 5)}

    plan = cheapest_plan([Want(n, 2) for n in range(6)], prices, ways, DAY)

    assert (plan.tried_all, len(plan.bought)) == (False, 6)
