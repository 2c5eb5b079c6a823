"""What dies before a job uses it is named in time, with the jobs that could still take it."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.urls import reverse

from jobs.kernel.clock import london_day, now
from stock.allocation.services import reserve_job
from stock.ledger.models import Lot
from stock.movements.queries import dying_for_list, jobs_that_could_take
from tests.factories import (
    AT,
    DAY,
    make_booking,
    make_job,
    make_kit,
    make_lot,
    make_requirement,
)
from tests.stock.pages import queries_of

pytestmark = pytest.mark.django_db


def days(count: int) -> Any:
    return DAY + timedelta(days=count)


def job_on(kit: Any, day: Any, packs: int = 1) -> Any:
    job = make_job(stage="booked")
    make_requirement(job, kit, packs)
    make_booking(job, day=day)
    return job


def test_it_goes_to_jobs_that_are_laid_in_time_and_lack_it_or_hold_a_later_lot() -> None:
    kit = make_kit(expiry_margin_days=5)
    swap = job_on(kit, days(14))
    later = make_lot(kit, 1, expiry=days(200))
    reserve_job(job_id=swap.pk, by=None, at=AT)
    lot = make_lot(kit, 3, expiry=days(25))
    # With five days to spare it may be laid on the 20th day, not on the day after.
    last, late = job_on(kit, days(20)), job_on(kit, days(21))
    job_on(make_kit(), days(14))
    found = jobs_that_could_take([lot], DAY)
    assert [need.job for need in found[lot.pk]] == [swap, last]
    assert late not in [need.job for need in found[lot.pk]]
    # Whoever holds it, or an earlier one, has nothing to swap; what is all reserved is not free.
    assert [row.pk for row in dying_for_list()] == [lot.pk]
    assert Lot.objects.get(pk=later.pk).reserved == 1


def test_held_lots_and_those_without_a_date_do_not_die() -> None:
    held = make_lot(make_kit(), 1, expiry=days(5))
    Lot.objects.filter(pk=held.pk).update(status="held", held_reason="hot")
    assert not dying_for_list()


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_says_when_and_where_to_and_costs_the_same(
    count: int, client_for: Any, storeman: Any
) -> None:
    today = london_day(now())
    kit = make_kit(expiry_margin_days=5)
    for _ in range(count):
        make_lot(kit, 2, expiry=today + timedelta(days=30))
        job_on(kit, today + timedelta(days=10))
    far = make_lot(kit, 2, expiry=today + timedelta(days=100))
    client = client_for(storeman)
    url = reverse("movements:dying")
    page = client.get(url).content.decode()
    assert far.code not in page
    assert far.code in client.get(url, {"within": "180"}).content.decode()
    assert client.get(url, {"within": "x"}).status_code == 200
    assert "J-" in client.get(url, {"export": "csv"}).content.decode()
    # session, user, 2 of permissions; count, rows; needs, their days, what they hold
    assert queries_of(client, url) == 9
