"""Opening jobs and changing what they say."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest

from jobs.audit.models import Event
from jobs.customers.models import Customer
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import KeyUsedError
from jobs.kernel.versions import StaleError
from jobs.sites.models import Site
from jobs.work import services
from jobs.work.models import Job
from tests.factories import make_customer, make_job, make_site

pytestmark = pytest.mark.django_db
CALL: dict[str, Any] = {
    "name": "Alex Marsh", "phone": "01632 960123", "address": "4 Mill Lane, Orrford",
    "title": "", "words": "A drive for two cars.", "source": "telephone",
}  # fmt: skip


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
    site = make_site(address="4 Mill Lane\nOrrford", postcode="HR4 9AB")
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
