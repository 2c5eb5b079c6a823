"""What lies at the site, what became of it, and the trace both ways."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest

from stock.laying.queries import evening_balance, lots_of_job, mixes_of_lot
from stock.laying.services import bay_full, undo_mix
from stock.ledger.models import Posting
from stock.movements.services import ReturnRow, return_from_site, undo_posting
from tests.factories import AT, DAY
from tests.stock.laying.world import BAG, make_site_with, open_day, tap

pytestmark = pytest.mark.django_db


def kit_line(site: Any) -> tuple[int, int, int, int]:
    row = next(each for each in evening_balance(site.job.pk) if each.lot == site.lots["kit"])
    assert row.left == site.left("kit")
    return row.drawn, row.logged, row.back, row.left


def test_an_undone_issue_was_never_drawn_and_an_undone_return_never_came_back() -> None:
    site = make_site_with(3)
    open_day(site)
    tap(site)
    undo_mix(mix_id=tap(site).pk, by=None, at=AT)
    assert kit_line(site) == (3, 1, 0, 2)
    back = return_from_site(
        job_id=site.job.pk, rows=[ReturnRow(site.lots["kit"].pk, 2)], place_id=site.bay.pk,
        key=uuid4(), day=DAY, by=None, at=AT,
    )  # fmt: skip
    assert kit_line(site) == (3, 1, 2, 0)
    undo_posting(posting_id=back.pk, reason="wrong site", key=uuid4(), by=None, at=AT)
    assert kit_line(site) == (3, 1, 0, 2)


def test_an_issue_that_was_undone_leaves_nothing_drawn() -> None:
    site = make_site_with(3)
    issue = Posting.objects.get(kind="issue")
    undo_posting(posting_id=issue.pk, reason="wrong job", key=uuid4(), by=None, at=AT)
    assert kit_line(site) == (0, 0, 0, 0)


@pytest.mark.parametrize("mixes", [1, 3])
def test_the_balance_takes_two_queries(mixes: int, django_assert_num_queries: Any) -> None:
    site = make_site_with(3)
    open_day(site)
    for _ in range(mixes):
        tap(site)
    with django_assert_num_queries(2):
        assert len(evening_balance(site.job.pk)) == 3


def test_the_trace_goes_both_ways() -> None:
    site, other = make_site_with(2), make_site_with(2)
    for each in (site, other):
        open_day(each)
        tap(each)
    second = tap(site)
    bay_full(bay_id=site.bays[0].pk, area_m2=Decimal(6), by=None, at=AT)
    stone = site.lots["stone"]
    assert [(mix.lay_day.job, mix.number, mix.bay) for mix in mixes_of_lot(stone)] == [
        (site.job, 1, site.bays[0]), (site.job, 2, site.bays[0]),
    ]  # fmt: skip
    laid = {row.lot: row.quantity for row in lots_of_job(site.job.pk)}
    assert laid == {site.lots["kit"]: 2, stone: 8 * BAG, site.lots["sand"]: 5_000}
    undo_mix(mix_id=second.pk, by=None, at=AT)
    assert [mix.number for mix in mixes_of_lot(stone)] == [1]
    assert {row.lot: row.quantity for row in lots_of_job(site.job.pk)}[stone] == 4 * BAG
