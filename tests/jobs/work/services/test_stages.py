"""Moving jobs from stage to stage."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.db import transaction

from jobs.audit.models import Event
from jobs.kernel.errors import ServiceError
from jobs.work import services
from jobs.work.models import Job, StageChange
from tests.factories import make_job

pytestmark = pytest.mark.django_db


def post(**values: Any) -> Job:
    with transaction.atomic():
        return services.post_stage(**values)


def test_an_event_moves_the_job_and_writes_its_history(office: Any, at: datetime) -> None:
    job = make_job()
    later = at + timedelta(hours=2)
    post(job=job, stage="surveyed", by=office, at=later)
    job.refresh_from_db()
    assert (job.stage, job.stage_since, job.version) == ("surveyed", later, 2)
    change = job.stage_changes.get()
    assert (change.before, change.after, change.by) == ("enquiry", "surveyed", office)
    assert Event.objects.get().after == {"stage": "surveyed"}


def test_an_event_that_led_here_or_earlier_writes_nothing(office: Any, at: datetime) -> None:
    job = make_job(stage="won")
    post(job=job, stage="quoted", by=office, at=at)
    post(job=job, stage="won", by=office, at=at)
    job.refresh_from_db()
    assert (job.stage, job.version) == ("won", 1)
    assert not StageChange.objects.exists()


def test_a_closed_job_refuses_events(office: Any, at: datetime) -> None:
    job = make_job(stage="cancelled")
    with pytest.raises(ServiceError) as refusal:
        post(job=job, stage="won", by=office, at=at)
    assert refusal.value.message == f"{job.reference} is cancelled. Open it again first."


def test_a_step_that_does_not_follow_is_refused(office: Any, at: datetime) -> None:
    job = make_job()
    with pytest.raises(ServiceError) as refusal:
        post(job=job, stage="booked", by=office, at=at)
    assert refusal.value.message == (
        f"{job.reference} is at 'enquiry', and 'booked' does not follow from that."
    )


def test_the_last_booking_taken_out_goes_back(office: Any, at: datetime) -> None:
    job = make_job(stage="booked")
    post(job=job, stage="won", back=True, reason="rain", by=office, at=at)
    job.refresh_from_db()
    assert job.stage == "won"
    assert job.stage_changes.get().reason == "rain"


def test_losing_needs_a_reason_and_an_unwon_job(office: Any, at: datetime) -> None:
    job = make_job(stage="quoted")
    with pytest.raises(ServiceError) as refusal:
        services.lose_job(job_id=job.pk, reason="", note="", by=office, at=at)
    assert refusal.value.field == "reason"
    lost = services.lose_job(job_id=job.pk, reason="price", note="a third", by=office, at=at)
    assert (lost.stage, lost.lost_reason) == ("lost", "price")
    won = make_job(stage="won")
    with pytest.raises(ServiceError, match="cannot be lost any more; cancel it"):
        services.lose_job(job_id=won.pk, reason="price", note="", by=office, at=at)


def test_a_cancelled_job_opens_again_where_it_was_but_without_bookings(
    office: Any, at: datetime
) -> None:
    job = make_job(stage="booked")
    services.cancel_job(job_id=job.pk, note="sold", by=office, at=at)
    again = services.reopen_job(job_id=job.pk, note="on again", by=office, at=at)
    assert again.stage == "won"
    assert [c.after for c in job.stage_changes.all()] == ["cancelled", "won"]


def test_a_lost_job_opens_again_and_its_reason_goes(office: Any, at: datetime) -> None:
    job = make_job(stage="quoted")
    services.lose_job(job_id=job.pk, reason="price", note="", by=office, at=at)
    again = services.reopen_job(job_id=job.pk, note="came back", by=office, at=at)
    assert (again.stage, again.lost_reason) == ("quoted", "")


@pytest.mark.parametrize("service", [services.cancel_job, services.reopen_job])
def test_cancelling_and_opening_again_ask_why(service: Any, office: Any, at: datetime) -> None:
    job = make_job(stage="cancelled" if service is services.reopen_job else "won")
    with pytest.raises(ServiceError) as refusal:
        service(job_id=job.pk, note=" ", by=office, at=at)
    assert refusal.value.field == "note"


def test_steps_that_people_record_go_to_the_guarantee(office: Any, at: datetime) -> None:
    job = make_job(stage="on_site")
    for stage in ("snagging", "complete", "in_guarantee"):
        services.record_step(job_id=job.pk, stage=stage, by=office, at=at)
    job.refresh_from_db()
    assert job.stage == "in_guarantee"
    with pytest.raises(ServiceError, match="does not follow"):
        services.record_step(job_id=make_job().pk, stage="complete", by=office, at=at)
