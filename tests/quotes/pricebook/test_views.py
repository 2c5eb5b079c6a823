"""Pages of the price book."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from quotes.pricebook.models import WorkItem
from tests.factories import make_edging, make_price, make_sand, make_supplier
from tests.quotes.world import make_rates, make_work_item

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("count", [1, 3])
def test_list_costs_the_same_for_one_and_three(
    count: int, owner: Any, client_for: Callable[[Any], Client], django_assert_num_queries: Any
) -> None:
    for n in range(count):
        make_work_item(f"W{n}", "m2", "area", {"plant": "5"})
    client = client_for(owner)

    # session, user, two for permissions, count, rows
    with django_assert_num_queries(6):
        response = client.get("/prices/")

    assert response.content.decode().count("£5.00") == count


def test_item_page_adds_up_its_unit(owner: Any, client_for: Callable[[Any], Client]) -> None:
    make_rates()
    item = make_work_item("LIFT", "m2", "area", {"labour_hours": "0.25", "plant": "6.50"})

    text = client_for(owner).get(f"/prices/{item.pk}/").content.decode()

    assert "£7.50" in text  # 0.25 h at £30
    assert "£14.00" in text  # and £6.50 of plant


def test_a_rate_on_a_taken_day_keeps_what_was_typed(
    owner: Any, client_for: Callable[[Any], Client]
) -> None:
    item = make_work_item("LIFT", "m2", "area", {"plant": "6.50"})
    data = {
        "valid_from": "2026-01-01", "labour_hours": "0.33", "plant": "7", "material": "0",
        "waste_percent": "0",
    }  # fmt: skip

    response = client_for(owner).post(f"/prices/{item.pk}/rate/", data)

    assert response.status_code == 422
    assert "must begin on a later day" in response.content.decode()
    assert 'value="0.33"' in response.content.decode()


def test_rows_of_the_yard_are_typed_shown_and_kept(
    owner: Any, client_for: Callable[[Any], Client], django_assert_num_queries: Any
) -> None:
    # long because: one form is typed wrong, then right, then shown
    make_rates()
    stone, mat = make_sand(name="Stone", pack_quantity=20_000), make_edging(name="Mat")
    for item, price in ((stone, "4"), (mat, "5")):
        make_price(make_supplier(), item, price)
    work = make_work_item("SUB", "m2", "area", {"plant": "6.50"}, name="Sub-base")
    client = client_for(owner)
    data = {
        "valid_from": "2026-05-01", "labour_hours": "0", "plant": "0", "material": "0",
        "waste_percent": "0", "stock_item_1": stone.pk, "stock_quantity_1": "250000",
        "stock_item_3": mat.pk, "stock_quantity_3": "0",
    }  # fmt: skip

    nought = client.post(f"/prices/{work.pk}/rate/", data)
    twice = client.post(
        f"/prices/{work.pk}/rate/",
        data | {"stock_item_3": stone.pk, "stock_quantity_3": "9", "stock_quantity_4": "7"},
    )
    assert (nought.status_code, twice.status_code) == (422, 422)
    assert nought.context["form"].errors == {
        "stock_quantity_3": ["Give how much of it one unit takes, more than 0."]
    }
    assert twice.context["form"].errors == {
        "stock_item_3": ["This item stands above: give it in one row."],
        "stock_item_4": ["Choose the item of which one unit takes so much."],
    }
    assert 'value="250000"' in twice.content.decode()
    # row 2 is blank, and is nothing
    assert client.post(f"/prices/{work.pk}/rate/", data | {"stock_quantity_3": "1000"})["Location"]

    # session, user, two for permissions, work item, firm's rates, its rate with stock, prices;
    # the days, their stock and its items
    with django_assert_num_queries(11):
        page = client.get(f"/prices/{work.pk}/").content.decode()
    # by hand: 12.5 packs at £4, and 1 m of lengths of 2.5 m at £5
    assert "kg of Stone" in page
    assert "£50.00" in page
    assert "£2.00" in page
    assert "£52.00" in page
    assert "Stone and 1 more" in client.get("/prices/").content.decode()
    again = client.get(f"/prices/{work.pk}/rate/").context["form"].initial
    assert [again.get(f"stock_quantity_{n}") for n in (1, 2, 3)] == [250_000, 1000, None]


def test_measured_work_is_counted_in_its_unit(
    owner: Any, client_for: Callable[[Any], Client]
) -> None:
    data = {"code": "X", "name": "X", "unit": "m", "measure": "area"}

    response = client_for(owner).post("/prices/add/", data)

    assert response.status_code == 422
    assert "counted in m²" in response.content.decode()
    assert not WorkItem.objects.exists()
