"""Pages of what to reorder."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
from django.test import Client

from stock.ordering.models import Order
from stock.reorder.models import ReorderRun, Suggestion
from stock.reorder.services import suggest
from tests.factories import AT, DAY
from tests.stock.ordering.world import short_job

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Any], Client]


@pytest.mark.parametrize("count", [1, 3])
def test_list_costs_the_same_for_any_number(
    count: int, storeman: Any, client_for: ClientFor, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        short_job()
    suggest(on=DAY, at=AT)
    client = client_for(storeman)
    # Session, user, permissions (two), the latest run, count, rows.
    with django_assert_num_queries(7):
        response = client.get("/reorder/")
    assert len(response.context["table"].rows) == count


def test_list_shows_only_the_latest_day_and_exports_it(
    storeman: Any, client_for: ClientFor
) -> None:
    job = short_job()
    suggest(on=DAY, at=AT)
    suggest(on=DAY.replace(day=15), at=AT)
    client = client_for(storeman)
    assert "reckoned Fri 15 May 2026, 09:00" in client.get("/reorder/").content.decode()
    lines = client.get("/reorder/?export=csv").content.decode().splitlines()
    assert len(lines) == 2
    assert job.reference in lines[1]


def test_list_without_a_reckoning_says_so(storeman: Any, client_for: ClientFor) -> None:
    html = client_for(storeman).get("/reorder/").content.decode()
    assert "not reckoned yet" in html


def test_suggestion_is_drafted_from_its_page(storeman: Any, client_for: ClientFor) -> None:
    short_job()
    suggest(on=DAY, at=AT)
    row = Suggestion.objects.get()
    client = client_for(storeman)
    assert "44 × " in client.get(f"/reorder/{row.pk}/").content.decode()
    response = client.post(f"/reorder/{row.pk}/draft/")
    assert response.headers["Location"] == f"/orders/{Order.objects.get().pk}/"
    html = client.post(f"/reorder/{row.pk}/draft/", follow=True).content.decode()
    assert "It is in a draft order already." in html
    assert Order.objects.count() == 1


def test_reckon_again_stores_the_days_run(storeman: Any, client_for: ClientFor) -> None:
    short_job()
    client_for(storeman).post("/reorder/again/")
    assert ReorderRun.objects.count() == 1
