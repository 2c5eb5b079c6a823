"""Pages of orders: lists, one order, the clock."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from jobs.kernel.models import TaskRun
from stock.ledger.models import Lot
from stock.ordering.models import GoodsIn, Order, Shortage
from stock.ordering.services import make_reminders, sweep_shortages
from tests.factories import AT, make_kit, make_place, make_supplier
from tests.stock.ordering.world import channel_of, drafted, placed, short_job, swept

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Any], Client]
# Lists: session, user, his permissions (two), count, rows; the suppliers of a filter, or a total.


@pytest.fixture
def now(monkeypatch: pytest.MonkeyPatch) -> Any:
    """The pages' clock stands at nine on Thu 14 May 2026."""
    from jobs.kernel import clock

    monkeypatch.setattr(clock, "now", lambda: AT)
    return AT


def figure_in(html: str, label: str) -> Decimal:
    """Return the money in the cell of this label, read from the page."""
    found = re.search(rf'data-label="{label}" class="num">£([\d,.]+)<', html)
    assert found is not None
    return Decimal(found[1].replace(",", ""))


@pytest.mark.parametrize("count", [1, 3])
@pytest.mark.parametrize(
    ("url", "queries"),
    [
        ("/orders/", 7),
        ("/orders/short/", 6),
        ("/orders/goods-in/", 7),
        ("/orders/reminders/", 6),
    ],
)
def test_lists_cost_the_same_for_any_number(
    count: int, url: str, queries: int, storeman: Any, client_for: ClientFor,
    django_assert_num_queries: Any,
) -> None:  # fmt: skip
    for _ in range(count):
        order = placed(swept())
        GoodsIn.objects.create(order=order, key=uuid4(), received_at=AT)
        short_job()
    sweep_shortages(at=AT)
    for number in range(count):
        make_reminders(at=AT + timedelta(days=number))
    client = client_for(storeman)
    with django_assert_num_queries(queries):
        assert client.get(url).status_code == 200


def test_orders_are_searched_filtered_and_exported(storeman: Any, client_for: ClientFor) -> None:
    first, second = placed(swept()), drafted(swept())
    client = client_for(storeman)

    def found(query: str) -> list[Order]:
        return [row.record for row in client.get(f"/orders/?{query}").context["table"].rows]

    assert found(f"q={first.reference}") == [first]
    assert found("state=draft") == [second]
    rows = list(csv.reader(io.StringIO(client.get("/orders/?export=csv").content.decode())))
    assert [row[0] for row in rows] == ["Order", "", "PO-2026-0001"]


def test_lists_show_the_newest_first(storeman: Any) -> None:
    first, second = (drafted(swept()) for _ in range(2))
    for order, days in ((first, 1), (second, 2)):
        GoodsIn.objects.create(
            order=order, key=uuid4(), received_at=AT - timedelta(days=days), by=storeman
        )  # fmt: skip
    Order.objects.filter(pk=first.pk).update(drafted_at=AT + timedelta(days=1))
    assert list(Order.objects.for_list()) == [first, second]
    assert [row.order for row in GoodsIn.objects.for_list()] == [first, second]


def test_page_of_an_order_adds_up(storeman: Any, client_for: ClientFor) -> None:
    order = drafted(swept())
    html = client_for(storeman).get(f"/orders/{order.pk}/").content.decode()
    assert figure_in(html, "Net") + figure_in(html, "Carriage") == figure_in(html, "In all")
    assert figure_in(html, "In all") == Decimal("414.60")
    assert "all one run" in html


def test_clock_shows_the_last_minute_of_each_channel(
    storeman: Any, client_for: ClientFor, now: Any
) -> None:
    shortage = swept()
    make_reminders(at=AT)
    TaskRun.objects.create(
        name="stock.ordering.sweep", started_at=AT, finished_at=AT, outcome="1 short"
    )
    html = client_for(storeman).get("/orders/clock/").content.decode()
    supplier = shortage.channels[0]["supplier"]
    assert f"Online from {supplier} by 11:45; telephone from {supplier} by 15:30." in html
    assert "in 2\u00a0h 45\u00a0min" in html
    assert "morning digest" in html
    assert "1 short" in html
    # The sweep runs again five minutes after it ran (settings).
    assert "Thu 14 May 09:05" in html


def test_next_run_of_the_daily_reckoning_is_tomorrow_at_half_past_five() -> None:
    from stock.ordering.queries.clock import next_run

    latest = TaskRun(name="stock.reorder.daily", started_at=AT)
    due = next_run("stock.reorder.daily", latest, AT)
    assert due is not None
    assert due.isoformat() == "2026-05-15T05:30:00+01:00"
    late = next_run("stock.reorder.daily", latest, AT + timedelta(days=3))
    assert late == AT + timedelta(days=3)
    assert next_run("nobody.rings", None, AT) is None


@pytest.mark.parametrize("count", [1, 3])
def test_clock_costs_the_same_for_any_number(
    count: int, storeman: Any, client_for: ClientFor, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        short_job()
    sweep_shortages(at=AT)
    client = client_for(storeman)
    with django_assert_num_queries(8):
        client.get("/orders/clock/")


def test_one_press_on_the_clock_drafts_the_order(
    storeman: Any, client_for: ClientFor, now: Any
) -> None:
    shortage = swept()
    client = client_for(storeman)
    html = client.get("/orders/clock/").content.decode()
    form = dict(re.findall(r'name="(uid|channel|shortages)" value="([^"]*)"', html))
    answers = [client.post("/orders/draft/", form) for _ in range(2)]
    order = Order.objects.get()
    assert {answer.headers["Location"] for answer in answers} == {f"/orders/{order.pk}/"}
    assert order.lines.get().job == shortage.job
    assert order.channel.kind == "online"


def test_draft_page_ticks_what_one_supplier_can_bring(
    storeman: Any, client_for: ClientFor, now: Any
) -> None:
    supplier = make_supplier()
    short_job(supplier=supplier)
    short_job(supplier=supplier)
    short_job()
    sweep_shortages(at=AT)
    mine = Shortage.objects.filter(item__prices__supplier=supplier)
    first = mine.order_by("pk")[0]
    response = client_for(storeman).get(f"/orders/draft/?shortage={first.pk}")
    form = response.context["form"]
    assert set(form.initial["shortages"]) == set(mine.values_list("pk", flat=True))
    assert form.initial["channel"] == supplier.channels.get(kind="online").pk


def test_refusal_keeps_what_was_ticked(storeman: Any, client_for: ClientFor) -> None:
    shortage = swept()
    drafted(shortage)
    response = client_for(storeman).post(
        "/orders/draft/",
        {"uid": str(uuid4()), "channel": channel_of(shortage).pk, "shortages": [shortage.pk]},
    )
    assert response.status_code == 422
    assert "already. Place that one." in response.content.decode()
    assert Order.objects.count() == 1


@pytest.mark.parametrize("bad", ["x", "999999", "-1", "9" * 40])
def test_unknown_shortage_is_not_found(bad: str, storeman: Any, client_for: ClientFor) -> None:
    assert client_for(storeman).get(f"/orders/draft/?shortage={bad}").status_code == 404


def test_placing_by_page_twice_says_so(storeman: Any, client_for: ClientFor) -> None:
    order = drafted(swept())
    client = client_for(storeman)
    client.post(f"/orders/{order.pk}/place/")
    html = client.post(f"/orders/{order.pk}/place/", follow=True).content.decode()
    assert "was placed already; nothing was sent twice" in html


# -- goods-in --------------------------------------------------------------------------------


def received(client: Client, order: Order, **changes: str) -> Any:
    line = order.lines.get()
    data = {
        "uid": str(uuid4()), "place": str(make_place().pk), "carriage": "45.00",
        f"good_{line.pk}": "44", f"run_{line.pk}": "26-0502",
    }  # fmt: skip
    data |= {name.replace("LINE", str(line.pk)): value for name, value in changes.items()}
    return client.post(f"/orders/{order.pk}/receive/", data)


def test_receiving_by_phone_makes_a_lot(storeman: Any, client_for: ClientFor) -> None:
    order = placed(swept())
    client = client_for(storeman)
    page = client.get(f"/orders/{order.pk}/receive/")
    assert 'class="layday"' in page.content.decode()
    assert page.context["form"][f"good_{order.lines.get().pk}"].initial == 44
    assert received(client, order).status_code == 302
    assert Lot.objects.get().cost == Decimal("414.60")


def test_second_click_on_receive_books_once(storeman: Any, client_for: ClientFor) -> None:
    order = placed(swept())
    client = client_for(storeman)
    uid, place = str(uuid4()), str(make_place().pk)
    for _ in range(2):
        response = received(client, order, uid=uid, place=place)
        assert (response.status_code, response.url) == (302, f"/orders/{order.pk}/")
    assert (Lot.objects.count(), GoodsIn.objects.count()) == (1, 1)


def test_second_label_of_a_line_makes_a_second_lot(storeman: Any, client_for: ClientFor) -> None:
    order = placed(swept())
    response = received(
        client_for(storeman), order, good_LINE="40", held_LINE_2="4", run_LINE_2="26-0503",
        note_LINE_2="another run",
    )  # fmt: skip
    assert response.status_code == 302
    assert dict(Lot.objects.values_list("run", "status")) == {
        "26-0502": "released", "26-0503": "held",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"good_LINE": "45"}, "Only 44 were still to come"),
        ({"good_LINE": "-1"}, "Give 0 or more."),
        ({"good_LINE": "many"}, "Give a whole number like 12"),
        ({"good_LINE": "9" * 30}, "Give 100000 or less."),
        ({"run_LINE": ""}, "Give the production run"),
        ({"carriage": "nan"}, "Give a figure like 12.5"),
        ({"carriage": "-5"}, "Give 0 or more."),
        ({"place": "999999"}, "Choose one of the list"),
        ({"uid": "x"}, "This page is out of date"),
    ],
)
def test_bad_figures_are_refused_with_a_sentence_and_kept(
    changes: dict[str, str], sentence: str, storeman: Any, client_for: ClientFor
) -> None:
    response = received(client_for(storeman), placed(swept()), **changes)
    html = response.content.decode()
    assert response.status_code == 422
    assert sentence in html
    assert not GoodsIn.objects.exists()


@pytest.mark.parametrize(
    ("typed", "expiry"),
    [("11/2026", "2026-11-30"), ("made 14/05/2026", "2026-11-14"), ("made 08/2025", "2026-02-01")],
)
def test_dates_of_a_kit_are_read_as_printed(
    typed: str, expiry: str, storeman: Any, client_for: ClientFor
) -> None:
    kit = make_kit(shelf_life_months=6)
    from stock.ordering.forms.receive import read_label_date

    assert read_label_date(typed, kit).isoformat() == expiry


def test_date_that_cannot_be_read_is_said_at_its_field(
    storeman: Any, client_for: ClientFor
) -> None:
    order = placed(swept(item=make_kit()))
    response = received(
        client_for(storeman), order, batch_a_LINE="A", expiry_a_LINE="soon", expiry_b_LINE="05/2027"
    )
    line = order.lines.get()
    assert response.status_code == 422
    assert response.context["form"].errors[f"expiry_a_{line.pk}"] == [
        "'soon' is not a date. As printed: 05/2027 or 14/05/2027. Or 'made 14/05/2026'."
    ]
