"""What the material says of a booking, before and after it is reserved."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest

from jobs.calendar.services import sweep_findings
from stock.allocation.models import Reservation
from stock.allocation.services import reserve_job
from tests.factories import (
    AT,
    DAY,
    make_booking,
    make_job,
    make_kit,
    make_lot,
    make_requirement,
    make_stone,
)

pytestmark = pytest.mark.django_db(transaction=True)


def sentences(booking: Any, code: str) -> list[str]:
    sweep_findings(at=AT)
    return [row.sentence for row in booking.findings.filter(code=code)]


def test_missing_material_is_found_until_it_is_reserved() -> None:
    job, stone = make_job(stage="booked"), make_stone(name="Moor gold")
    make_requirement(job, stone, 12)
    booking = make_booking(job)
    assert sentences(booking, "material_missing") == ["Not reserved yet: 12 bags of Moor gold."]
    make_lot(stone, 12)
    reserve_job(job_id=job.pk, by=None, at=AT)
    assert sentences(booking, "material_missing") == []


def test_material_of_another_phase_is_not_this_bookings_matter() -> None:
    job = make_job(stage="booked")
    make_requirement(job, make_stone(), 12)
    assert sentences(make_booking(job, "prepare"), "material_missing") == []


def test_a_kit_that_a_move_makes_too_old_is_found() -> None:
    job = make_job(stage="booked")
    kit = make_kit(expiry_margin_days=7)
    need = make_requirement(job, kit, 2)
    lot = make_lot(kit, 2, expiry=DAY + timedelta(days=9))
    Reservation.objects.create(requirement=need, lot=lot, quantity=2, made_at=AT)
    # In date with its margin of seven days on the day itself, not three days later.
    assert sentences(make_booking(job, day=DAY), "kit_past_date") == []
    [sentence] = sentences(make_booking(job, day=DAY + timedelta(days=3)), "kit_past_date")
    assert sentence.startswith(f"{lot.code}, {kit.name}, is to be used by 23 May 2026")


@pytest.mark.parametrize("count", [1, 3])
def test_any_number_of_bookings_costs_two_queries_a_check(
    count: int, django_assert_num_queries: Any
) -> None:
    from jobs.kernel.registries import BOOKING_CHECKS

    bookings = []
    for _ in range(count):
        job = make_job(stage="booked")
        make_requirement(job, make_stone(), 3)
        bookings.append(make_booking(job))
    for code in ("material_missing", "deposit_open", "closed_day", "person_away", "kit_past_date"):
        with django_assert_num_queries({"deposit_open": 1, "kit_past_date": 1}.get(code, 2)):
            BOOKING_CHECKS[code].run(bookings, AT)
