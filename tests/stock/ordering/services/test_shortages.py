"""What the sweep stores."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest

from jobs.kernel.clock import LONDON
from stock.ordering.models import Shortage
from stock.ordering.services import place_order, sweep_shortages
from tests.factories import (
    AT,
    make_booking,
    make_job,
    make_kit,
    make_lot,
    make_price,
    make_requirement,
    make_stone,
    make_supplier,
)
from tests.stock.ordering.world import drafted, short_job, swept

pytestmark = pytest.mark.django_db


def london(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=LONDON)  # type: ignore[arg-type, misc]


def test_sweep_stores_a_shortage_with_each_channels_last_moment() -> None:
    shortage = swept()
    assert shortage.quantity == 44 * 20_000
    assert shortage.needed_on == date(2026, 5, 18)
    # Two working days' lead: ordered Thu 14 May it comes on Mon 18 May.
    assert [(row["kind"], row["order_by"], row["arrives_on"]) for row in shortage.channels] == [
        ("online", "2026-05-14T11:45:00+01:00", "2026-05-18"),
        ("telephone", "2026-05-14T15:30:00+01:00", "2026-05-18"),
    ]
    assert shortage.order_by == london(2026, 5, 14, 15, 30)
    assert shortage.why == f"{shortage.job.site.name}, laying Tue 19 May."


def test_sweep_is_safe_to_repeat() -> None:
    first = swept()
    again = sweep_shortages(at=AT + timedelta(minutes=1))
    assert (again.open, again.new, again.ended) == (1, 0, 0)
    (row,) = Shortage.objects.all()
    assert (row.pk, row.found_at, row.checked_at) == (first.pk, AT, AT + timedelta(minutes=1))


def test_stone_of_one_run_in_the_yard_ends_the_shortage() -> None:
    shortage = swept()
    make_lot(shortage.item, packs=44)
    sweep_shortages(at=AT)
    shortage.refresh_from_db()
    assert (shortage.closed_at, shortage.closed_because) == (
        AT, "it is in the yard, or no longer wanted",
    )  # fmt: skip


def test_odd_bags_do_not_count_and_are_said() -> None:
    shortage = swept()
    make_lot(shortage.item, packs=9)
    sweep_shortages(at=AT)
    shortage.refresh_from_db()
    assert shortage.quantity == 44 * 20_000
    assert "9 bags of other runs lie here and do not count." in shortage.why


def test_placed_order_ends_the_shortage_and_a_draft_does_not(storeman: Any) -> None:
    shortage = swept()
    order = drafted(shortage, storeman)
    sweep_shortages(at=AT)
    shortage.refresh_from_db()
    assert not shortage.closed_because
    place_order(order_id=order.pk, by=storeman, at=AT)
    shortage.refresh_from_db()
    assert (shortage.closed_at, shortage.closed_because) == (AT, "it is on order")


@pytest.mark.parametrize(("stage", "count"), [("quoted", 0), ("won", 1), ("booked", 1)])
def test_only_won_jobs_want_things(stage: str, count: int) -> None:
    make_requirement(make_job(stage=stage), make_stone(), 4)
    assert sweep_shortages(at=AT).open == count


def test_job_that_is_cancelled_ends_its_shortage() -> None:
    shortage = swept()
    job = shortage.job
    job.stage = "cancelled"
    job.save()
    sweep_shortages(at=AT)
    shortage.refresh_from_db()
    assert shortage.closed_because == "the job is cancelled"


def test_kit_is_wanted_earlier_by_its_conditioning_hours() -> None:
    kit = make_kit(conditioning_hours=24)
    make_price(make_supplier(), kit)
    job = make_job(stage="booked")
    make_requirement(job, kit, 17)
    make_booking(job, day=date(2026, 5, 21))
    sweep_shortages(at=AT)
    assert Shortage.objects.get().needed_on == date(2026, 5, 19)


def test_edging_is_wanted_by_the_first_day_of_prepare() -> None:
    stone = make_stone()
    make_price(make_supplier(), stone)
    job = make_job(stage="booked")
    make_requirement(job, stone, 4, phase="prepare")
    make_booking(job, phase="prepare", day=date(2026, 5, 18))
    make_booking(job, day=date(2026, 5, 21))
    sweep_shortages(at=AT)
    assert Shortage.objects.get().needed_on == date(2026, 5, 15)


def test_job_without_a_booking_is_reckoned_in_fourteen_days() -> None:
    stone = make_stone()
    make_requirement(make_job(stage="won"), stone, 4)
    sweep_shortages(at=AT)
    shortage = Shortage.objects.get()
    assert shortage.needed_on == date(2026, 5, 27)
    assert "not booked, reckoned as laying Thu 28 May. No supplier's price is known." in (
        shortage.why
    )


def test_bank_holiday_moves_the_last_moment_before_it() -> None:
    """Mon 25 May 2026 is a bank holiday: gov.uk data in govuk-bank-holidays 0.19."""
    stone = make_stone()
    make_price(make_supplier(), stone)
    job = make_job(stage="booked")
    make_requirement(job, stone, 4)
    make_booking(job, day=date(2026, 5, 26))
    sweep_shortages(at=AT)
    shortage = Shortage.objects.get()
    assert shortage.needed_on == date(2026, 5, 22)
    assert shortage.order_by == london(2026, 5, 20, 15, 30)


@pytest.mark.parametrize("count", [1, 3])
def test_reckoning_costs_a_fixed_number_of_queries(
    count: int, django_assert_num_queries: Any
) -> None:
    from stock.ordering.queries import reckon_shortages

    for _ in range(count):
        short_job()
    with django_assert_num_queries(12):
        assert len(reckon_shortages(AT)) == count
