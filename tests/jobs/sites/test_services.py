"""Writing sites."""

from __future__ import annotations

from datetime import datetime
from typing import Any
from uuid import uuid4

import pytest

from jobs.audit.models import Event
from jobs.kernel.errors import ServiceError
from jobs.kernel.versions import StaleError
from jobs.sites import services
from jobs.sites.models import Site
from tests.factories import AT, make_customer, make_job, make_site

pytestmark = pytest.mark.django_db


def test_a_site_is_named_by_its_address_and_its_event_keeps_no_address(
    office: Any, at: datetime
) -> None:
    customer = make_customer()
    key = uuid4()
    site = services.add_site(
        customer_id=customer.pk, address="4 Mill Lane,  Orrford", postcode="hr49ab", water="no",
        key=key, by=office, at=at,
    )  # fmt: skip
    again = services.add_site(
        customer_id=customer.pk, address="4 Mill Lane,  Orrford", postcode="hr49ab", water="no",
        key=key, by=office, at=at,
    )  # fmt: skip
    assert again == site
    assert Site.objects.count() == 1
    assert (site.name, site.one_line) == ("4 Mill Lane", "4 Mill Lane, Orrford, HR4 9AB")
    event = Event.objects.get()
    assert "Mill" not in f"{event.after}{event.subject_text}"
    assert event.after["water"] == "no"


def test_a_site_needs_an_address(office: Any, at: datetime) -> None:
    with pytest.raises(ServiceError) as refusal:
        services.add_site(customer_id=make_customer().pk, address=" ", by=office, at=at)
    assert refusal.value.field in {"address", "name"}
    assert not Site.objects.exists()


def test_no_site_is_added_for_a_customer_who_was_put_away(office: Any, at: datetime) -> None:
    customer = make_customer(archived_at=AT)
    with pytest.raises(ServiceError, match="put away"):
        services.add_site(customer_id=customer.pk, address="4 Mill Lane", by=office, at=at)


def test_a_second_save_of_one_page_is_refused(office: Any, at: datetime) -> None:
    site = make_site()
    services.change_site(site_id=site.pk, version=1, water="yes", by=office, at=at)
    with pytest.raises(StaleError):
        services.change_site(site_id=site.pk, version=1, water="no", by=office, at=at)
    site.refresh_from_db()
    assert (site.water, site.version) == ("yes", 2)


def test_an_emptied_name_comes_from_the_address_again(office: Any, at: datetime) -> None:
    site = make_site(name="Back drive", address="4 Mill Lane, Orrford")
    services.change_site(site_id=site.pk, version=1, name="", by=office, at=at)
    site.refresh_from_db()
    assert site.name == "4 Mill Lane"


def test_a_site_with_open_work_is_not_put_away(office: Any, at: datetime) -> None:
    job = make_job(stage="quoted")
    with pytest.raises(ServiceError) as refusal:
        services.archive_site(site_id=job.site_id, by=office, at=at)
    assert refusal.value.message == (
        f"Work is open here: {job.reference}. Finish, lose or cancel it first."
    )
    site = make_site()
    services.archive_site(site_id=site.pk, by=office, at=at)
    assert site not in Site.objects.current()
    services.restore_site(site_id=site.pk, by=office, at=at)
    assert site in Site.objects.current()
