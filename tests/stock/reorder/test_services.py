"""The day's suggestions, stored and drafted."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest

from jobs.kernel.clock import LONDON
from jobs.kernel.errors import ServiceError
from stock.reorder import tasks
from stock.reorder.models import ReorderRun, Suggestion
from stock.reorder.queries import reckon
from stock.reorder.services import draft_suggestion, set_aside, suggest
from tests.factories import (
    AT,
    DAY,
    make_booking,
    make_job,
    make_kit,
    make_lot,
    make_price,
    make_requirement,
    make_sand,
    make_stone,
    make_supplier,
)
from tests.stock.ordering.world import drafted, short_job, swept

pytestmark = pytest.mark.django_db


def yard_item(**fields: Any) -> Any:
    item = make_sand(**{"least": 50_000, "most": 200_000} | fields)
    make_price(make_supplier(), item, "2.40")
    return item


def only() -> Any:
    (proposal,) = reckon(AT)
    return proposal


def test_item_below_its_least_is_filled_up_to_its_most() -> None:
    item = yard_item()
    make_lot(item, packs=8)  # 40 kg
    proposal = only()
    assert (proposal.item, proposal.packs, proposal.job) == (item, 32, None)
    assert proposal.why == "Less than 10 bags now."


def test_item_at_its_least_is_left_alone() -> None:
    make_lot(yard_item(), packs=10)
    assert reckon(AT) == []


def test_what_will_have_expired_does_not_count() -> None:
    kit = make_kit(least=6, most=12)
    make_price(make_supplier(), kit, "52")
    make_lot(kit, packs=8, expiry=DAY + timedelta(days=20))
    proposal = only()
    assert (proposal.packs, proposal.needed_on) == (12, DAY + timedelta(days=21))
    assert proposal.why == "Less than 6 kits from Thu 4 Jun. 8 kits will have expired by then."
    # Two working days before Thu 4 Jun is Tue 2 Jun.
    assert proposal.order_by == datetime(2026, 6, 2, 11, 45, tzinfo=LONDON)


def test_jobs_that_the_yard_serves_draw_it_below_its_least() -> None:
    item = yard_item()
    make_lot(item, packs=12)
    job = make_job(stage="booked")
    make_requirement(job, item, 6)
    make_booking(job, day=date(2026, 5, 28))
    proposal = only()
    assert (proposal.job, proposal.needed_on, proposal.packs) == (None, date(2026, 5, 27), 34)


def test_order_for_the_yard_counts_and_a_draft_too() -> None:
    make_lot(yard_item(), packs=8)
    suggest(on=DAY, at=AT)
    draft_suggestion(suggestion_id=Suggestion.objects.get().pk, by=None, at=AT)
    assert reckon(AT) == []


def test_job_gets_its_own_suggestion_all_of_one_run() -> None:
    job = short_job()
    proposal = only()
    assert (proposal.job, proposal.packs, proposal.colour_group) == (job, 44, "buff")
    assert proposal.offer.channel.kind == "online"
    assert proposal.order_by == datetime(2026, 5, 14, 11, 45, tzinfo=LONDON)
    assert proposal.as_json()["cost"] == "414.60"


def test_channel_that_has_closed_is_not_suggested() -> None:
    short_job()
    proposal = reckon(AT.replace(hour=12))[0]
    assert proposal.offer is not None
    assert proposal.offer.channel.kind == "telephone"


def test_job_that_nobody_can_serve_cannot_be_met() -> None:
    short_job()
    proposal = reckon(AT.replace(hour=16))[0]
    assert proposal.offer is None
    assert "Every cut-off to have it by Mon 18 May has passed." in proposal.why


def test_item_that_nobody_sells_cannot_be_met() -> None:
    make_requirement(make_job(stage="won"), make_stone(), 4)
    assert only().offer is None


def test_cheapest_in_time_is_chosen() -> None:
    item = yard_item()
    cheap = make_supplier()
    make_price(cheap, item, "2.10")
    proposal = only()
    assert proposal.offer.channel.supplier == cheap


def test_break_that_costs_no_more_is_taken() -> None:
    item = yard_item(most=190_000)
    supplier = item.prices.get().supplier
    make_price(supplier, item, "2.10", from_packs=40)
    # 38 × 2.40 = 91.20; 40 × 2.10 = 84.00.
    proposal = only()
    assert (proposal.packs, proposal.why) == (
        40, "Less than 10 bags now. 40 packs cost no more than 38.",
    )  # fmt: skip


def test_what_is_in_a_draft_is_not_proposed_again(storeman: Any) -> None:
    drafted(swept(), storeman)
    assert reckon(AT) == []


def test_suggesting_again_replaces_what_is_open_and_keeps_what_is_settled() -> None:
    short_job()
    aside = short_job()
    run = suggest(on=DAY, at=AT)
    set_aside(suggestion_id=run.suggestions.get(job=aside).pk, by=None, at=AT)
    again = suggest(on=DAY, at=AT + timedelta(hours=1))
    assert (again, ReorderRun.objects.count()) == (run, 1)
    assert sorted(run.suggestions.values_list("state", flat=True)) == ["dropped", "open"]


def test_draft_takes_all_that_is_open_for_the_channel() -> None:
    supplier = make_supplier()
    short_job(supplier=supplier)
    short_job(supplier=supplier)
    run = suggest(on=DAY, at=AT)
    first = run.suggestions.order_by("pk")[0]
    order = draft_suggestion(suggestion_id=first.pk, by=None, at=AT)
    assert order.lines.count() == 2
    assert set(run.suggestions.values_list("state", flat=True)) == {"drafted"}
    assert order.carriage == Decimal("45.00")
    with pytest.raises(ServiceError, match="It is in a draft order already"):
        draft_suggestion(suggestion_id=first.pk, by=None, at=AT)


def test_daily_task_stores_and_says_what_it_found(monkeypatch: Any) -> None:
    from jobs.kernel.models import TaskRun

    monkeypatch.setattr(tasks, "now", lambda: AT)
    short_job()
    make_requirement(make_job(stage="won"), make_stone(), 4)
    tasks.daily()
    assert TaskRun.objects.get(name="stock.reorder.daily").outcome == (
        "1 to order, 1 cannot be met"
    )
    assert ReorderRun.objects.get().on == DAY


@pytest.mark.parametrize(
    ("hour", "last", "runs"),
    [(9, None, 1), (9, 0, 1), (9, 1, 2), (4, 1, 1), (4, 2, 2)],
)
def test_sweep_reckons_a_day_that_was_missed(
    hour: int, last: int | None, runs: int, monkeypatch: Any
) -> None:
    at = AT.replace(hour=hour)
    monkeypatch.setattr(tasks, "now", lambda: at)
    if last is not None:
        suggest(on=DAY - timedelta(days=last), at=at)
    tasks.sweep()
    assert ReorderRun.objects.count() == runs


@pytest.mark.parametrize("count", [1, 3])
def test_reckoning_costs_a_fixed_number_of_queries(
    count: int, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        short_job()
        yard_item()
    with django_assert_num_queries(26):
        assert len(reckon(AT)) == 2 * count
