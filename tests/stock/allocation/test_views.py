"""What jobs need, reserving from the page, and the material panel."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import RequestFactory
from django.urls import reverse

from stock.allocation.models import Reservation
from stock.allocation.panels import job_materials, kits_that_die
from tests.factories import AT, DAY, make_job, make_kit, make_lot, make_requirement, make_stone
from tests.stock.pages import queries_of

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_the_same_for_any_number_of_rows(
    count: int, client_for: Any, storeman: Any
) -> None:
    for _ in range(count):
        make_requirement(make_job(stage="won"), make_kit(), 1)
    # session, user, 2 of permissions; count, rows
    assert queries_of(client_for(storeman), reverse("allocation:list")) == 6


@pytest.mark.parametrize("count", [1, 3])
def test_the_panel_is_two_queries(count: int, django_assert_num_queries: Any) -> None:
    job = make_job(stage="won")
    for _ in range(count):
        make_requirement(job, make_kit(), 1)
    with django_assert_num_queries(2):
        answer = job_materials(RequestFactory().get("/"), job)
    assert answer is not None
    assert len(answer[1]["lines"]) == count


def test_reserving_from_the_page_and_its_why(client_for: Any, storeman: Any) -> None:
    client, job, stone = client_for(storeman), make_job(stage="won"), make_stone()
    make_requirement(job, stone, 4, colour_group="drive")
    make_lot(stone, 2, run="26-01")
    whole = make_lot(stone, 4, run="26-02")
    url = reverse("allocation:job", args=[job.pk])
    assert "run 26-02, the only one with all 4 bags for drive" in client.get(url).content.decode()
    client.post(reverse("allocation:reserve", args=[job.pk]))
    assert Reservation.objects.get().lot == whole
    assert "All that the job needs is reserved." in client.get(url).content.decode()
    client.post(reverse("allocation:reserve", args=[job.pk]))
    assert Reservation.objects.get().quantity == 80_000


def test_what_cannot_be_met_says_which_rule_binds(client_for: Any, storeman: Any) -> None:
    client, job, stone = client_for(storeman), make_job(stage="won"), make_stone(name="Amber")
    make_requirement(job, stone, 4, colour_group="drive")
    make_lot(stone, 2, run="26-01")
    text = client.get(reverse("allocation:job", args=[job.pk])).content.decode()
    assert "the most in one run is 2 bags of 26-01" in text
    assert "Order all 4 bags in one run." in text


def test_today_names_kits_that_die(storeman: Any) -> None:
    assert list(kits_that_die(storeman, AT)) == []
    dying = make_lot(make_kit(), 3, expiry=DAY + timedelta(days=45))
    make_lot(make_kit(), 3, expiry=DAY + timedelta(days=46))
    (two,) = kits_that_die(storeman, AT)
    assert two.why == f"3 kits of {dying.code} are to be used by 28 Jun."
