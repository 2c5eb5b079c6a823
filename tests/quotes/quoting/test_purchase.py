"""One purchase for a whole quote: its parts add up, lines share packs, options stand alone.

Long because: the law and the worked cases share one world of suppliers and lines.
"""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.costing.models import CostEntry
from jobs.surveys.models import ColourGroup, Pour
from quotes.acceptance.services import accept, make_link
from quotes.pricebook.rules import Carriage, PackPrice, Want, cheapest_plan
from quotes.pricebook.rules.buying import carriage_on
from quotes.quoting import services
from quotes.quoting.models import Line, Revision
from quotes.quoting.queries import price_rise
from quotes.quoting.rules import Stocked, buy
from quotes.takeoff.models import BlendChoice, TakeOffSettings
from quotes.takeoff.queries import take_off
from quotes.takeoff.rules import needs_of
from stock.allocation.models import Requirement
from stock.suppliers.models import ChannelCharge
from tests.factories import AT, make_area, make_blend, make_charge, make_price, make_supplier
from tests.quotes.acceptance.world import YES, make_sent
from tests.quotes.world import QuoteWorld, make_quote_world, make_work_item

DAY = date(2026, 5, 14)
ZERO = Decimal(0)


@dataclass
class Taking:
    """A line as the purchase reads it."""

    kind: str
    stock: list[dict[str, Any]]
    materials: Decimal = Decimal("7.00")
    workings: list[dict[str, str]] = field(default_factory=list)


def row(item: int, wanted: Decimal, group: str, spare: int) -> dict[str, Any]:
    return {
        "item": item, "colour_group": group, "quantity": 0, "phase": "lay", "cost": "0.00",
        "wanted": str(wanted), "spare": str(spare),
    }  # fmt: skip


rows = st.builds(
    row, st.integers(1, 3), st.decimals("0.01", "9", places=2), st.sampled_from(["", "red"]),
    st.integers(0, 2),
)  # fmt: skip
kinds = st.sampled_from(["surface", "work", "provisional", "option"])
takings = st.lists(st.builds(Taking, kinds, st.lists(rows, max_size=3)), min_size=1, max_size=5)
pence = st.integers(50, 4000).map(lambda n: Decimal(n) / 100)


def falling(one: Decimal, first: int, more: list[int]) -> list[tuple[int, Decimal]]:
    """Breaks whose price falls, as suppliers print them."""
    return [(n, one * (100 - k * first) / 100) for k, n in enumerate([1, *sorted(set(more))])]


own = st.builds(
    falling, pence.map(lambda each: each.quantize(Decimal("0.1")) * 10), st.integers(1, 20),
    st.lists(st.integers(2, 12), max_size=2),
)  # fmt: skip
books = st.fixed_dictionaries(
    {item: st.dictionaries(st.integers(1, 3), own, max_size=2) for item in (1, 2, 3)}
)
ways = st.dictionaries(
    st.integers(1, 3),
    st.lists(
        st.builds(Carriage, pence, st.sampled_from([ZERO, Decimal(40)]), st.none() | pence),
        min_size=1, max_size=2,
    ),
)  # fmt: skip
STOCKED = {n: Stocked(f"item {n}", "bag", 25_000) for n in (1, 2, 3)}


def prices_in(book: dict[int, dict[int, list[tuple[int, Decimal]]]]) -> dict[int, list[PackPrice]]:
    return {
        item: [
            PackPrice(who, f"supplier {who}", DAY, n, each)
            for who, breaks in suppliers.items()
            for n, each in breaks
        ]
        for item, suppliers in book.items()
    }


@settings(max_examples=80, deadline=None)
@given(takings, books, ways)
def test_the_lines_pay_the_purchase_to_the_penny_and_never_more_than_each_by_itself(
    lines: list[Taking], book: Any, carriages: dict[int, list[Carriage]]
) -> None:
    prices = prices_in(book)

    found = buy(lines, STOCKED, prices, carriages, DAY)

    costs = {n: share.materials - Decimal("7.00") for n, share in found.shares.items()}
    base = [n for n in costs if lines[n].kind != "option"]
    assert sum((costs[n] for n in base), ZERO) == found.plan.total
    for n, share in found.shares.items():
        assert sum((Decimal(each["cost"]) for each in share.stock), ZERO) == costs[n]
        told = [each for each in share.workings if "bought" in each]
        assert sum((Decimal(each["amount"]) for each in told), ZERO) == costs[n]
    # whole packs over all lines in the price, the spares with them
    packed: Counter[tuple[int, str]] = Counter()
    exact: Counter[tuple[int, str]] = Counter()
    for n in base:
        for taken in found.shares[n].stock:
            lot = (taken["item"], taken["colour_group"])
            packed[lot] += taken["quantity"]
            exact[lot] += Decimal(taken["wanted"]) + Decimal(taken["spare"])  # type: ignore[assignment]
    assert {lot: units / 25_000 for lot, units in packed.items()} == {
        lot: math.ceil(packs) for lot, packs in exact.items()
    }
    # each line by itself, as it was bought before; a least order may be missed only by both
    alone = [buy([lines[n]], STOCKED, prices, carriages, DAY).plan for n in base]
    short = {name for plan in alone for name in plan.short}
    total = sum((plan.total for plan in alone), ZERO)
    assert (len(found.plan.short), found.plan.total) <= (len(short), total)


@settings(max_examples=80, deadline=None)
@given(takings, books, ways)
def test_any_choice_of_options_is_bought_for_what_it_was_priced_at(
    lines: list[Taking], book: Any, carriages: dict[int, list[Carriage]]
) -> None:
    """All options taken: their packs on the quote's orders cost no more than their own prices."""
    prices = prices_in(book)
    found = buy(lines, STOCKED, prices, carriages, DAY)
    options = [n for n in found.shares if lines[n].kind == "option"]
    added = sum((found.shares[n].materials - Decimal("7.00") for n in options), ZERO)

    riding = {**carriages, **dict.fromkeys(found.plan.carriage, ())}
    orders: dict[int, Counter[int]] = {}
    for bought in found.plan.bought:
        orders.setdefault(bought.price.supplier_id, Counter())[bought.item_id] += bought.packs
    for n in options:
        whole: Counter[int] = Counter()
        lots: Counter[tuple[int, str]] = Counter()
        for each in lines[n].stock:
            lots[each["item"], each["colour_group"]] += Decimal(each["wanted"])  # type: ignore[assignment]
        for (item, _), packs in lots.items():
            whole[item] += math.ceil(packs)
        plan = cheapest_plan([Want(k, v) for k, v in whole.items()], prices, riding, DAY)
        for bought in plan.bought:
            orders.setdefault(bought.price.supplier_id, Counter())[bought.item_id] += bought.packs
    joined = ZERO
    for who, counts in orders.items():
        goods = sum(
            (n * min(each for start, each in book[item][who] if start <= n)
             for item, n in counts.items()), ZERO,
        )  # fmt: skip
        joined += goods + carriage_on(goods, carriages.get(who, ()))[0]

    assert joined <= found.plan.total + added


database = pytest.mark.django_db


def works(revision: Revision) -> list[Line]:
    return list(revision.lines.filter(kind="work").order_by("position"))


def edge(world: QuoteWorld, revision: Revision, metres: str, **fields: Any) -> Line:
    values: dict[str, Any] = {"kind": "work", "by": None, "at": AT}
    return services.add_line(
        revision_id=revision.pk, work_item_id=world.edge_work.pk, quantity=Decimal(metres),
        **values | fields,
    )  # fmt: skip


@database
def test_two_lines_of_an_item_share_a_pack_and_a_break() -> None:
    world = make_quote_world()
    make_price(world.supplier, world.edging, "9.20", from_packs=10)
    revision = world.start()
    assert works(revision)[0].stock[0]["quantity"] == 22_500

    # 19.2 m and 4 m with 5 % waste: 24.36 m are ten lengths, at 9.20 each
    edge(world, revision, "4")

    one, two = works(revision)
    assert one.stock[0]["quantity"] + two.stock[0]["quantity"] == 25_000
    item = next(
        each for each in Revision.objects.get(pk=revision.pk).purchase["orders"][0]["items"]
        if each["item"] == world.edging.pk
    )  # fmt: skip
    assert (item["needed"], item["packs"], item["cost"]) == (10, 10, "92.00")
    how = next(each["how"] for each in two.workings if each["what"] == world.edging.name)
    assert "1.68 of 10 × length at £9.20" in how
    assert "shared by what each takes" in how

    services.remove_line(line_id=two.pk, by=None, at=AT)

    # by itself again: nine are needed, and ten at 9.20 cost more than nine at 9.95 (89.55)
    (one,) = works(revision)
    assert (one.stock[0]["quantity"], one.materials) == (22_500, Decimal("94.93"))


@database
@pytest.mark.parametrize(("days", "cost"), [(1, "793.75"), (0, "809.25"), (-1, "809.25")])
def test_carriage_is_that_of_the_day_the_quote_is_priced_on(days: int, cost: str) -> None:
    world = make_quote_world()
    for channel in world.supplier.channels.all():
        make_charge(channel, "60.50", valid_from=DAY + timedelta(days=days))

    revision = world.start()

    assert revision.priced_on == DAY
    # by hand: goods are 748.75, with 45.00 or 60.50 once
    assert sum(line.materials for line in revision.lines.all()) == Decimal(cost)


@database
def test_packs_up_to_free_carriage_are_bought_and_told(client: Client, owner: Any) -> None:
    world = make_quote_world()
    ChannelCharge.objects.filter(channel__supplier=world.supplier).update(
        free_from=Decimal("755.00")
    )

    revision = world.start()

    # by hand: goods are 748.75; three bags of sand more, 6.60, save the 45.00 of carriage
    assert sum(line.materials for line in revision.lines.all()) == Decimal("755.35")
    sand = next(
        each["how"] for line in revision.lines.all() for each in line.workings
        if each["what"] == world.sand.name
    )  # fmt: skip
    assert "8 are needed, 11 are bought, so that the order costs less" in sand
    assert "3 left over" in sand
    client.force_login(owner)
    page = client.get(f"/quotes/{revision.pk}/workings/").content.decode()
    assert "Bought for the quote as one purchase" in page
    assert "£755.35" in page
    assert "too many ways" not in page
    revision.purchase["proven"] = False
    revision.save()
    assert "too many ways" in client.get(f"/quotes/{revision.pk}/workings/").content.decode()


@database
def test_what_the_surfacing_takes_is_what_the_take_off_needs() -> None:
    world = make_quote_world()
    red = ColourGroup.objects.create(survey=world.survey, name="red")
    pour = Pour.objects.create(survey=world.survey, name="pour 2", colour_group=red)
    make_area(world.survey, pour=pour, name="path")
    blend = make_blend(kit=world.kit, components=[(world.stones[1], 5), (world.sand, 1)])
    BlendChoice.objects.create(colour_group=red, blend=blend)
    TakeOffSettings.objects.update_or_create(survey=world.survey, defaults={"spare_mixes": 1})

    taken: Counter[tuple[int, str]] = Counter()
    for line in world.start().lines.filter(kind="surface"):
        for each in line.stock:
            taken[each["item"], each["colour_group"]] += each["quantity"]

    needs = needs_of(take_off(world.survey))
    assert taken == {(each.item_id, each.colour_group): each.quantity for each in needs}


@database
def test_prices_that_stand_still_do_not_rise(at: datetime) -> None:
    world = make_quote_world()
    revision = world.start()
    edge(world, revision, "3", kind="provisional")
    edge(world, revision, "3", kind="option")
    make_price(world.supplier, world.sand, "3.20", valid_from=date(2026, 6, 1))
    revision = Revision.objects.get(pk=revision.pk)

    assert price_rise(revision, date(2026, 5, 31)) is None
    # 8 bags of sand at £1 more
    assert price_rise(revision, date(2026, 6, 2)) == Decimal("8.00")


@database
def test_an_option_rides_with_the_quotes_order_and_shares_its_packs_once_taken(
    at: datetime,
) -> None:
    sent = make_sent()
    world = sent.world
    draft = services.revise(revision_id=sent.revision.pk, by=None, at=at)
    option = edge(world, draft, "4", kind="option")
    # 4.2 m are two lengths of its own, without carriage
    assert Line.objects.get(pk=option.pk).materials == 2 * Decimal("9.95")
    services.send_revision(revision_id=draft.pk, to="home@customer.example", by=None, at=at)
    _, token = make_link(revision_id=draft.pk, by=None, at=at)
    accept(
        token=token, name="A. Householder", consents=YES, options=[option.pk],
        network_address="203.0.113.9", user_agent="A browser", at=at,
    )  # fmt: skip

    # 24.36 m of edging in all: ten lengths, not nine and two
    need = Requirement.objects.get(job=world.job, item=world.edging)
    assert need.quantity == 25_000
    lines = list(draft.lines.all())
    budget = CostEntry.objects.filter(job=world.job, kind="budget")
    assert sum(each.amount for each in budget) == sum(line.direct for line in lines)
    spent = budget.get(what=str(world.edging))
    assert spent.amount == Decimal("94.93") + Decimal("19.90")


@database
def test_work_of_several_items_is_bought_needed_and_budgeted_whole(at: datetime) -> None:
    # long because: one quote is followed from its purchase to needs and budget
    sent = make_sent()
    world = sent.world
    world_work = make_work_item(
        "SUB", "m2", "none",
        {"waste_percent": "5", "stock": {world.edging: 1_000, world.sand: 2_000}},
        name="Sub-base",
    )  # fmt: skip
    draft = services.revise(revision_id=sent.revision.pk, by=None, at=at)
    before = {line.pk: line.stock for line in draft.lines.all()}
    own = services.add_line(
        revision_id=draft.pk, kind="work", work_item_id=world_work.pk, quantity=Decimal(10),
        by=None, at=at,
    )  # fmt: skip
    line = Line.objects.get(pk=own.pk)
    assert {row["item"]: Decimal(row["wanted"]) for row in line.stock} == {
        # by hand: 10.5 m of lengths of 2.5 m, 21 kg of bags
        world.edging.pk: Decimal("4.2"),
        world.sand.pk: Decimal(21_000) / world.sand.pack_quantity,
    }
    assert sum(Decimal(row["cost"]) for row in line.stock) == line.materials
    assert {row["what"] for row in line.workings} >= {str(world.edging), str(world.sand)}
    services.send_revision(revision_id=draft.pk, to="home@customer.example", by=None, at=at)
    _, token = make_link(revision_id=draft.pk, by=None, at=at)
    accept(
        token=token, name="A. Householder", consents=YES, options=[], user_agent="A browser",
        network_address="203.0.113.9", at=at,
    )  # fmt: skip

    lines = list(draft.lines.all())
    taken: Counter[int] = Counter()
    for row in (row for line in lines for row in line.stock):
        taken[row["item"]] += row["quantity"]
    earlier: Counter[int] = Counter()
    for row in (row for stock in before.values() for row in stock):
        earlier[row["item"]] += row["quantity"]
    needs: Counter[int] = Counter()
    for need in Requirement.objects.filter(job=world.job):
        needs[need.item_id] += need.quantity
    assert needs == taken
    # 20.16 m and 10.5 m of edging: 13 lengths, where there were 9
    assert (earlier[world.edging.pk], taken[world.edging.pk]) == (22_500, 32_500)
    assert taken[world.sand.pk] > earlier[world.sand.pk]
    budget = CostEntry.objects.filter(job=world.job, kind="budget")
    assert sum(each.amount for each in budget) == sum(line.direct for line in lines)
    for item in (world.edging, world.sand):
        cost = sum(
            Decimal(row["cost"]) for line in lines for row in line.stock if row["item"] == item.pk
        )
        assert budget.get(what=str(item)).amount == cost


@database
def test_lines_priced_before_keep_their_cost(at: datetime) -> None:
    """Rows without their need in packs were bought by themselves; a new purchase leaves them."""
    world = make_quote_world()
    revision = world.start()
    (old,) = works(revision)
    old.stock = [{key: value for key, value in old.stock[0].items() if key != "wanted"}]
    old.save()

    edge(world, revision, "4")

    assert works(revision)[0].direct == old.direct


@database
def test_changing_a_line_among_forty_buys_anew_in_few_queries(
    at: datetime, django_assert_max_num_queries: Any
) -> None:
    world = make_quote_world()
    revision = world.start(work_item_ids=[])
    for n in range(4):
        other = make_supplier()
        for item in (world.kit, *world.stones, world.sand, world.edging):
            make_price(other, item, f"{9 + n}.50")
    trims = [
        make_work_item(f"TRIM{n}", "m", "none", {"labour_hours": "0.1",
                       "stock_item": world.edging, "stock_per_unit": 1000})
        for n in range(3)
    ]  # fmt: skip
    for trim in trims:
        services.add_line(
            revision_id=revision.pk, kind="work", work_item_id=trim.pk, quantity=Decimal(7),
            by=None, at=at,
        )  # fmt: skip
    copies = works(revision) * 12
    for line in copies:
        line.pk = None
    Line.objects.bulk_create(copies)
    line = works(revision)[0]

    with django_assert_max_num_queries(20):
        services.change_line(line_id=line.pk, words="x", quantity=Decimal(9), by=None, at=at)
