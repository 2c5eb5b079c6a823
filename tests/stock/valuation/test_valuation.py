"""Worth at a day against a replay of the ledger; pennies; turns; what nobody uses; the files.

Long because: all of it is held against one yard's season.
"""

from __future__ import annotations

import csv
import io
from collections import defaultdict
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.costing.models import CostEntry
from jobs.kernel import clock
from jobs.kernel.clock import LONDON, at_wall
from jobs.kernel.money import round_line
from jobs.kernel.registries import EXPORTS
from stock.allocation.services import reserve_job
from stock.ledger.models import Lot, Movement
from stock.movements.services import (
    ReturnRow,
    count_place,
    issue_job,
    return_from_site,
    transfer_stock,
    waste_stock,
)
from stock.valuation.queries import dead_stock, item_turns, quantities_at, value_at
from stock.valuation.rules import Turn, left_value, points_between, values_of_lot
from tests.factories import (
    AT,
    DAY,
    make_job,
    make_kit,
    make_lot,
    make_place,
    make_requirement,
    make_stone,
)
from tests.stock.pages import queries_of

BAG = 20_000
money = st.integers(0, 10_000_000).map(lambda pence: Decimal(pence) / 100)


# -- rules ---------------------------------------------------------------------------------------


@settings(max_examples=300, deadline=None)
@given(money, st.integers(1, 5_000), st.data())
def test_what_was_issued_and_what_is_left_make_up_the_cost(
    cost: Decimal, received: int, data: Any
) -> None:
    left = data.draw(st.integers(0, received))
    issued = round_line(cost * (received - left) / received)
    assert issued + left_value(cost, received, left) == cost


@settings(max_examples=300, deadline=None)
@given(
    money,
    st.lists(st.integers(1, 500), max_size=5),
    st.lists(st.integers(1, 500), max_size=5),
    st.integers(0, 500),
)
def test_places_add_up_to_the_lot(
    cost: Decimal, yard: list[int], sites: list[int], gone: int
) -> None:
    received = sum(yard) + sum(sites) + gone
    if not received:
        return
    places = dict(enumerate(yard)), dict(enumerate(sites, start=10))
    values = values_of_lot(cost, received, *places)
    assert sum(values.values()) == left_value(cost, received, sum(yard) + sum(sites))
    assert all(value >= 0 for value in values.values())
    in_yard = sum(value for place, value in values.items() if place < 10)
    assert in_yard == left_value(cost, received, sum(yard))


def test_a_penny_that_two_units_share_goes_with_the_first() -> None:
    # Half a penny is rounded up for what was issued, so nothing may be left of it.
    assert left_value(Decimal("0.01"), 2, 1) == 0
    assert left_value(Decimal("3.33"), 2, 1) == Decimal("1.66")


def test_more_than_came_is_worth_no_more_than_it_cost() -> None:
    assert left_value(Decimal("10.00"), 3, 5) == Decimal("10.00")


def test_a_period_is_valued_before_it_at_month_ends_and_after_it() -> None:
    assert points_between(date(2026, 1, 15), date(2026, 3, 10)) == [
        date(2026, 1, 14), date(2026, 1, 31), date(2026, 2, 28), date(2026, 3, 10),
    ]  # fmt: skip
    assert points_between(DAY, DAY) == [DAY - timedelta(days=1), DAY]


def test_turns_by_hand() -> None:
    # Hand arithmetic: 1,200 issued over the mean of 500, 300 and 400, which is 400: 3 turns in
    # 365 days; the mean lasts 400 x 365 / 1200 = 121.67 days.
    turn = Turn(Decimal(1200), (Decimal(500), Decimal(300), Decimal(400)), 365)
    assert (turn.mean, turn.turns, turn.days_held) == (Decimal(400), Decimal("3.00"), 122)
    assert Turn(Decimal(0), (Decimal(0),), 30).turns is None


# -- a yard over some days -------------------------------------------------------------------------


def on(day: int, hour: int = 10) -> datetime:
    """An hour of a day in May 2026."""
    return datetime(2026, 5, day, hour, tzinfo=LONDON)


def season() -> dict[str, Any]:
    """Stone and kits that come, go out, come back, are wasted, lost and moved, on many days."""
    stone, kit = make_stone(), make_kit()
    bay, van = make_place(), make_place("van")
    lot = make_lot(
        stone, 30, cost=Decimal("301.37"), place=bay, at=on(1), received_on=date(2026, 5, 1)
    )
    kits = make_lot(
        kit, 7, cost=Decimal("333.33"), place=bay, at=on(2), received_on=date(2026, 5, 2)
    )
    job = make_job(stage="won")
    make_requirement(job, stone, 11)
    make_requirement(job, kit, 3)
    reserve_job(job_id=job.pk, by=None, at=on(4))
    issue_job(job_id=job.pk, key=uuid4(), day=date(2026, 5, 4), by=None, at=on(4))
    return_from_site(
        job_id=job.pk, place_id=bay.pk, key=uuid4(), day=date(2026, 5, 6), by=None, at=on(6),
        rows=[ReturnRow(lot.pk, 2 * BAG), ReturnRow(lot.pk, 7_000, opened=True)],
    )  # fmt: skip
    waste_stock(
        lot_id=lot.pk, place_id=bay.pk, quantity=BAG, reason="torn", key=uuid4(),
        day=date(2026, 5, 7), by=None, at=on(7),
    )  # fmt: skip
    transfer_stock(
        lot_id=kits.pk, from_place_id=bay.pk, to_place_id=van.pk, quantity=2, key=uuid4(),
        day=date(2026, 5, 8), by=None, at=on(8),
    )  # fmt: skip
    count_place(place_id=bay.pk, counted={lot.pk: 20 * BAG + 1}, key=uuid4(), by=None, at=on(9),
                may_approve=True)  # fmt: skip
    return {"job": job, "lot": lot, "kits": kits, "bay": bay, "van": van}


def replayed(day: date) -> dict[tuple[int, int], int]:
    """The ledger from its first row on, up to the end of a day, in plain Python."""
    end = at_wall(day + timedelta(days=1), time(0, 0))
    found: dict[tuple[int, int], int] = defaultdict(int)
    for move in Movement.objects.select_related("posting", "from_place", "to_place"):
        if move.posting.at < end:
            for place, sign in ((move.from_place, -1), (move.to_place, 1)):
                if place.kind in {"bay", "van", "site"}:
                    found[move.lot_id, place.pk] += sign * move.quantity
    return {spot: quantity for spot, quantity in found.items() if quantity}


@pytest.mark.django_db
def test_a_past_day_is_the_ledger_replayed() -> None:
    season()
    counted = set(Movement.objects.values_list("to_place_id", flat=True).distinct())
    for day in range(1, 15):
        asked = date(2026, 5, day)
        found = quantities_at(asked, now=AT)
        wanted = replayed(asked)
        ours = {spot: n for spot, n in found.items() if n > 0 and spot[1] in counted}
        assert {spot: ours.get(spot) for spot in wanted} == wanted
        rows = value_at(asked, now=AT).rows
        assert sum(row.quantity for row in rows) == sum(wanted.values())


@pytest.mark.django_db
def test_stock_and_what_jobs_were_charged_make_up_what_was_paid() -> None:
    made = season()
    after_issue = value_at(date(2026, 5, 4), now=AT)
    charged = sum(
        entry.amount for entry in CostEntry.objects.filter(job=made["job"], day=date(2026, 5, 4))
    )
    assert after_issue.value + charged == Decimal("301.37") + Decimal("333.33")
    assert after_issue.with_jobs == charged


@pytest.mark.django_db
def test_what_is_booked_later_for_a_past_day_does_not_change_it() -> None:
    made = season()
    before = value_at(date(2026, 5, 8), now=AT).value
    waste_stock(
        lot_id=made["kits"].pk, place_id=made["van"].pk, quantity=1, reason="leak", key=uuid4(),
        day=date(2026, 5, 3), by=None, at=on(12),
    )  # fmt: skip
    assert value_at(date(2026, 5, 8), now=AT).value == before
    # 333.33 of 7 kits: the last kit but four costs round(333.33*4/7) - round(333.33*3/7) = 47.61
    assert before - value_at(date(2026, 5, 12), now=AT).value == Decimal("47.61") + (
        value_at(date(2026, 5, 8), now=AT).value - value_at(date(2026, 5, 11), now=AT).value
    )


@pytest.mark.django_db
def test_sites_and_vans_are_told_apart() -> None:
    season()
    found = value_at(DAY, now=AT)
    assert found.of_kind("van") > 0
    assert found.of_kind("site") == found.with_jobs > 0
    assert found.value == found.of_kind("bay") + found.of_kind("van")


@pytest.mark.django_db
def test_turns_agree_with_the_valuation_of_each_point() -> None:
    season()
    first, last = date(2026, 4, 20), date(2026, 5, 14)
    rows = item_turns(first, last)
    for number, point in enumerate(points_between(first, last)):
        wanted: dict[int, Decimal] = defaultdict(Decimal)
        for row in value_at(point, now=AT).rows:
            wanted[row.item.pk] += row.value
        assert {row.item.pk: row.turn.values[number] for row in rows} == {
            row.item.pk: wanted[row.item.pk] for row in rows
        }
    issued = CostEntry.objects.filter(source="stock.posting")
    assert sum(row.turn.issued for row in rows) == sum(entry.amount for entry in issued)


@pytest.mark.django_db
def test_dead_stock_is_what_nothing_used_for_so_long_with_when_it_dies() -> None:
    made = season()
    kits, stone = made["kits"], made["lot"]
    assert [row.lot for row in dead_stock(10, now=AT)] == [kits]  # issued on the 4th, ten days ago
    (row,) = dead_stock(10, now=AT)
    kits.refresh_from_db()
    assert (row.idle_days, row.expiry, row.days_left) == (10, kits.expiry, 90)
    assert row.value == left_value(kits.cost, kits.received, kits.on_hand)
    assert dead_stock(11, now=AT) == []
    # The stone was wasted of on the 7th; the count of the 9th does not make it used.
    assert stone in [row.lot for row in dead_stock(7, now=AT)]
    assert stone not in [row.lot for row in dead_stock(8, now=AT)]


@pytest.mark.django_db
def test_what_is_dying_and_past_is_said_in_words() -> None:
    make_lot(make_kit(), 1, expiry=DAY + timedelta(days=5), at=AT - timedelta(days=200))
    past = make_lot(make_kit(), 1, at=AT - timedelta(days=200))
    Lot.objects.filter(pk=past.pk).update(expiry=DAY - timedelta(days=1))
    make_lot(make_stone(), 1, at=AT - timedelta(days=200))
    assert {row.state for row in dead_stock(90, now=AT)} == {
        ("look", "in 5 days"), ("stop", "past its date"), ("", "keeps"),
    }  # fmt: skip


# -- pages and files -------------------------------------------------------------------------------


@pytest.fixture
def today(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clock, "now", lambda: AT)
    monkeypatch.setattr("stock.valuation.exports.now", lambda: AT)


def added(content: bytes, column: str) -> Decimal:
    return sum(
        (Decimal(row[column]) for row in csv.DictReader(io.StringIO(content.decode()))), Decimal(0)
    )


@pytest.mark.django_db
@pytest.mark.parametrize("query", [{}, {"on": "2026-05-04"}, {"where": "van"}])
def test_the_files_add_up_to_the_page(
    query: dict[str, str], today: None, client_for: Any, accountant: Any
) -> None:
    season()
    client, url = client_for(accountant), reverse("valuation:list")
    page = client.get(url, query)
    table = page.context["table"]
    total = sum(row.record.value for row in table.rows)
    assert added(client.get(url, query | {"export": "csv"}).content, "In bays and vans") == total
    head, rows = EXPORTS["stock_valuation"].rows(query)
    place = list(head).index("In bays and vans")
    assert sum(row[place] for row in rows) == total  # type: ignore[misc]
    if "where" not in query:
        assert page.context["valuation"].value == total
        assert f"£{total:,}" in page.content.decode()


@pytest.mark.django_db
@pytest.mark.parametrize("name", ["list", "turns", "dead"])
@pytest.mark.parametrize("count", [1, 3])
def test_the_lists_cost_the_same_for_any_number_of_rows(
    name: str, count: int, today: None, client_for: Any, accountant: Any
) -> None:
    for _ in range(count):
        make_lot(make_kit(), 2, at=AT - timedelta(days=100))
    client = client_for(accountant)
    # session, user, 2 of permissions; balances, places, lots | lots, moves, issues, items | lots
    assert (
        queries_of(client, reverse(f"valuation:{name}")) == {"list": 7, "turns": 8, "dead": 5}[name]
    )


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("name", "query", "field"),
    [
        ("list", {"on": "2099-01-01"}, "on"), ("list", {"on": "x"}, "on"),
        ("list", {"where": "moon"}, "where"),
        ("turns", {"first": "2026-05-10", "last": "2026-05-01"}, "last"),
        ("turns", {"last": "2099-01-01"}, "last"), ("turns", {"first": "1900-01-01"}, "first"),
        ("dead", {"days": "0"}, "days"), ("dead", {"days": "many"}, "days"),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_said_at_its_field(
    name: str, query: dict[str, str], field: str, today: None, client_for: Any, accountant: Any
) -> None:
    season()
    page = client_for(accountant).get(reverse(f"valuation:{name}"), query)
    assert page.status_code == 200
    assert list(page.context["form"].errors) == [field]
    assert list(page.context["table"].rows) == []


@pytest.mark.django_db
def test_a_search_keeps_what_it_names(today: None, client_for: Any, accountant: Any) -> None:
    made = season()
    client = client_for(accountant)
    for name, words in (("list", str(made["van"])), ("turns", "kit"), ("dead", made["kits"].code)):
        page = client.get(reverse(f"valuation:{name}"), {"q": words, "days": "3"})
        assert len(page.context["table"].rows) == 1
