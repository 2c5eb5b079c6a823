"""Orders on the pages of a job and of today."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client, RequestFactory

from jobs.kernel.registries import COMMITMENTS
from stock.ordering import panels
from stock.ordering.services import sweep_shortages
from stock.suppliers.models import Supplier
from tests.factories import AT, make_job, make_price, make_requirement, make_stone
from tests.stock.ordering.world import drafted, placed, short_job, swept

pytestmark = pytest.mark.django_db


def test_todays_list_says_what_to_order_first(storeman: Any) -> None:
    shortage = swept()
    (entry,) = panels.shortages_by_the_clock(storeman, AT)
    assert entry.at is not None
    assert entry.at.isoformat() == "2026-05-14T11:45:00+01:00"
    assert entry.title == f"Order 44 bags of {shortage.item}, all one run"
    assert entry.url == f"/orders/draft/?shortage={shortage.pk}"
    assert entry.button == "Draft the order"


def test_what_a_job_wants_from_one_supplier_by_one_moment_is_one_entry(storeman: Any) -> None:
    shortage = swept()
    other = make_stone(name="Pale quartz")
    make_price(Supplier.objects.get(), other)
    make_requirement(shortage.job, other, 12)
    sweep_shortages(at=AT)
    (entry,) = panels.shortages_by_the_clock(storeman, AT)
    assert entry.title.endswith("and 1 more")
    assert {"Pale quartz", str(shortage.item)} == {
        name for name in ("Pale quartz", str(shortage.item)) if name in entry.title + entry.why
    }


def test_drafted_shortage_leads_to_its_draft(storeman: Any) -> None:
    order = drafted(swept())
    (entry,) = panels.shortages_by_the_clock(storeman, AT)
    assert (entry.url, entry.button) == (f"/orders/{order.pk}/", "Place the order")


def test_shortage_that_is_too_late_stops(storeman: Any) -> None:
    swept()
    (entry,) = panels.shortages_by_the_clock(storeman, AT.replace(hour=16))
    assert (entry.at, entry.level, entry.clock_note) == (None, "stop", "too late")


def test_far_off_shortage_does_not_press(storeman: Any) -> None:
    swept()
    assert list(panels.shortages_by_the_clock(storeman, AT - timedelta(days=6))) == []


def test_delivery_of_today_is_on_the_list(storeman: Any) -> None:
    order = placed(swept())
    later = AT + timedelta(days=4)
    (entry,) = panels.deliveries_expected(storeman, later)
    assert (entry.title, entry.url) == (
        f"Goods in: {order} from {order.supplier}", f"/orders/{order.pk}/receive/",
    )  # fmt: skip
    (late,) = panels.deliveries_expected(storeman, later + timedelta(days=1))
    assert (late.level, late.clock_note) == ("stop", "overdue")


def test_costing_hears_what_is_committed(storeman: Any) -> None:
    shortage = swept()
    placed(shortage)
    assert panels.open_lines_of_jobs in COMMITMENTS
    assert panels.open_lines_of_jobs([shortage.job_id]) == {
        shortage.job_id: {"materials": Decimal("369.60")}
    }


@pytest.mark.parametrize("count", [1, 3])
def test_panel_of_a_job_costs_two_queries(
    count: int, storeman: Any, django_assert_num_queries: Any
) -> None:
    from tests.factories import make_requirement, make_stone

    shortage = swept()
    placed(shortage)
    for _ in range(count):
        make_requirement(shortage.job, make_stone(), 2)
    sweep_shortages(at=AT)
    request: Any = RequestFactory().get("/")
    request.now, request.user = AT, storeman
    with django_assert_num_queries(2):
        found = panels.job_orders(request, shortage.job)
    assert found is not None
    _, context = found
    assert (len(context["short"]), len(context["lines"])) == (count, 1)


def test_panel_is_drawn_on_the_page_of_the_job(
    storeman: Any, client_for: Callable[[Any], Client]
) -> None:
    job = short_job()
    sweep_shortages(at=AT)
    html = client_for(storeman).get(f"/jobs/{job.pk}/").content.decode()
    assert "Order 44 bags of" in html


def test_job_that_is_not_won_has_no_panel(storeman: Any) -> None:
    request: Any = RequestFactory().get("/")
    request.now, request.user = AT, storeman
    assert panels.job_orders(request, make_job(stage="quoted")) is None
