"""Opening jobs and moving them on."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db import transaction

from jobs.attachments.models import Attachment
from jobs.attachments.queries import attachments_of
from jobs.audit.models import Event
from jobs.customers.models import Customer
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import KeyUsedError
from jobs.kernel.versions import StaleError
from jobs.sites.models import Site
from jobs.work import services
from jobs.work.models import Job, StageChange
from tests.factories import make_customer, make_job, make_site

pytestmark = pytest.mark.django_db
CALL: dict[str, Any] = {
    "name": "Alex Marsh", "phone": "01632 960123", "address": "4 Mill Lane, Orrford",
    "title": "", "words": "A drive for two cars.", "source": "telephone",
}  # fmt: skip
PDF = b"%PDF-1.7\n%%EOF\n"


def post(**values: Any) -> Job:
    with transaction.atomic():
        return services.post_stage(**values)


# -- opening ---------------------------------------------------------------------------------


def test_an_enquiry_makes_customer_site_and_job(office: Any, at: datetime) -> None:
    job = services.take_enquiry(by=office, at=at, **CALL)
    assert job.reference == "J-2026-0001"
    assert (job.stage, job.title, job.enquiry) == (
        "enquiry", "Surfacing, 4 Mill Lane, Orrford", "A drive for two cars.",
    )  # fmt: skip
    assert (job.customer.name, job.site.name) == ("Alex Marsh", "4 Mill Lane")
    assert (job.opened_by, job.opened_at, job.stage_since) == (office, at, at)
    change = job.stage_changes.get()
    assert (change.before, change.after) == ("", "enquiry")


def test_the_same_key_takes_one_enquiry(office: Any, at: datetime) -> None:
    key = uuid4()
    first = services.take_enquiry(key=key, by=office, at=at, **CALL)
    later = at + timedelta(seconds=1)
    assert services.take_enquiry(key=key, by=office, at=later, **CALL) == first
    assert (Job.objects.count(), Customer.objects.count(), Site.objects.count()) == (1, 1, 1)
    with pytest.raises(KeyUsedError):
        services.take_enquiry(key=key, by=office, at=at, **CALL | {"words": "Two drives."})


def test_a_known_customer_keeps_his_site_however_it_is_written(office: Any, at: datetime) -> None:
    site = make_site(address="4 Mill Lane\nOrrford")
    job = services.take_enquiry(
        customer_id=site.customer_id, address="4 mill lane, Orrford", title="Path", words="",
        source="repeat", by=office, at=at,
    )  # fmt: skip
    assert job.site == site
    other = services.take_enquiry(
        customer_id=site.customer_id, address="5 Mill Lane, Orrford", title="Path", words="",
        source="repeat", by=office, at=at,
    )  # fmt: skip
    assert other.site != site
    assert other.customer == site.customer


@pytest.mark.parametrize(
    ("gone", "field", "sentence"),
    [
        ("phone", "phone", "Give a telephone number or an e-mail address to answer to."),
        ("address", "address", "Give the address of the site."),
        ("name", "name", "This field cannot be blank."),
    ],
)
def test_an_enquiry_without_what_it_needs_writes_nothing(
    gone: str, field: str, sentence: str, office: Any, at: datetime
) -> None:
    with pytest.raises(ServiceError) as refusal:
        services.take_enquiry(by=office, at=at, **CALL | {gone: " "})
    assert (refusal.value.field, refusal.value.message) == (field, sentence)
    assert not Customer.objects.exists()
    assert not Job.objects.exists()


def test_references_count_on_and_start_anew_with_the_year(office: Any, at: datetime) -> None:
    site = make_site()

    def open_at(day: datetime) -> str:
        return services.open_job(
            customer_id=site.customer_id, site_id=site.pk, title="Drive", source="email",
            enquiry="", by=office, at=day,
        ).reference  # fmt: skip

    assert [open_at(at), open_at(at)] == ["J-2026-0001", "J-2026-0002"]
    assert open_at(at.replace(year=2027)) == "J-2027-0001"


def test_a_job_is_not_opened_at_another_customers_site(office: Any, at: datetime) -> None:
    with pytest.raises(ServiceError) as refusal:
        services.open_job(
            customer_id=make_customer().pk, site_id=make_site().pk, title="Drive",
            source="email", enquiry="", by=office, at=at,
        )  # fmt: skip
    assert refusal.value.field == "site"


def test_a_copy_is_an_enquiry_of_the_same_customer(office: Any, at: datetime) -> None:
    like = make_job(stage="complete", enquiry="As plot 1")
    plot = make_site(like.customer)
    copy = services.copy_job(job_id=like.pk, site_id=plot.pk, title="Plot 2", by=office, at=at)
    assert (copy.customer, copy.site, copy.stage, copy.source) == (
        like.customer, plot, "enquiry", "repeat",
    )  # fmt: skip
    assert (copy.title, copy.enquiry) == ("Plot 2", "As plot 1")
    assert Event.objects.filter(verb="copy").get().after == {"from": like.reference}


def test_changing_words_never_touches_the_stage(office: Any, at: datetime) -> None:
    job = make_job(stage="won")
    with pytest.raises(TypeError):
        services.change_job(job_id=job.pk, version=1, stage="complete", by=office, at=at)
    changed = services.change_job(
        job_id=job.pk, version=1, customer_order_number=" PO 77 ", by=office, at=at
    )
    assert (changed.customer_order_number, changed.version) == ("PO 77", 2)
    with pytest.raises(StaleError):
        services.change_job(job_id=job.pk, version=1, title="Other", by=office, at=at)


# -- stages ----------------------------------------------------------------------------------


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


# -- files -----------------------------------------------------------------------------------


def test_a_file_that_is_there_is_not_attached_again(office: Any, at: datetime) -> None:
    job = make_job()
    for _ in range(2):
        services.attach_files(
            about=job, files=[("a.pdf", PDF), ("b.pdf", PDF)], caption="letter", by=office, at=at
        )
    assert [file.caption for file in attachments_of(job)] == ["letter"]


def test_one_refused_file_leaves_none_attached(office: Any, at: datetime) -> None:
    with pytest.raises(ServiceError) as refusal:
        services.attach_files(
            about=make_job(), files=[("a.pdf", PDF), ("b.jpg", b"<html>")], caption="", by=office,
            at=at,
        )  # fmt: skip
    assert refusal.value.field == "file"
    assert not Attachment.objects.exists()
