"""Pages of the price book."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from quotes.pricebook.models import WorkItem
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


def test_measured_work_is_counted_in_its_unit(
    owner: Any, client_for: Callable[[Any], Client]
) -> None:
    data = {"code": "X", "name": "X", "unit": "m", "measure": "area"}

    response = client_for(owner).post("/prices/add/", data)

    assert response.status_code == 422
    assert "counted in m²" in response.content.decode()
    assert not WorkItem.objects.exists()
