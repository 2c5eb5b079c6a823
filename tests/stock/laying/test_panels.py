"""Lay days on the pages of a job and of today."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.test import Client, RequestFactory
from django.urls import reverse

from stock.laying import panels
from stock.laying.models import Discrepancy, LayDay
from stock.laying.services import close_day
from tests.factories import AT, DAY, make_booking, make_crew, make_job, make_person
from tests.stock.laying.world import Site, make_site_with, open_day, tap

pytestmark = pytest.mark.django_db


def titles(entries: Any) -> list[str]:
    return [entry.title for entry in entries]


def test_the_crew_lead_is_told_where_to_lay_today(site: Site, crew: Any) -> None:
    make_booking(make_job(stage="booked"))
    (entry,) = panels.lay_today(crew, AT)
    assert entry.title == f"Lay at {site.job.site}"
    assert entry.button == "Open the day"
    assert entry.url == reverse("laying:open", args=[site.job.pk, DAY.isoformat()])
    day = open_day(site)
    tap(site)
    (entry,) = panels.lay_today(crew, AT)
    assert (entry.button, entry.url) == ("Go on", reverse("laying:day", args=[day.pk]))
    assert entry.why == f"{site.job.reference}: 1\N{NO-BREAK SPACE}mix so far."


def test_a_day_that_was_not_closed_is_asked_for_on_the_next(site: Site, crew: Any) -> None:
    open_day(site)
    (entry,) = panels.lay_today(crew, AT + timedelta(days=1))
    assert entry.title == f"Close the lay day at {site.job.site}"
    LayDay.objects.update(closed_at=AT)
    assert list(panels.lay_today(crew, AT + timedelta(days=1))) == []


def test_the_owner_without_a_crew_is_not_told_to_lay(site: Site, owner: Any) -> None:
    assert list(panels.lay_today(owner, AT)) == []


def test_the_storeman_is_asked_about_differences(storeman: Any) -> None:
    site = make_site_with(1, issue=False)
    open_day(site)
    assert list(panels.differences_to_answer(storeman, AT)) == []
    tap(site)
    (entry,) = panels.differences_to_answer(storeman, AT)
    assert entry.url == Discrepancy.objects.get().get_absolute_url()
    tap(site)
    (entry,) = panels.differences_to_answer(storeman, AT)
    assert entry.title == "2 differences from lay days"
    assert entry.url == reverse("laying:differences")


def test_the_office_hears_when_a_job_is_laid(office: Any) -> None:
    site = make_site_with(1)
    day = open_day(site)
    tap(site)
    LayDay.objects.filter(pk=day.pk).update(balanced_at=AT)
    close_day(lay_day_id=day.pk, by=None, at=AT)
    after = AT + timedelta(days=1)
    assert titles(panels.laid_and_not_handed_over(office, after)) == [f"{site.job.site} is laid"]
    make_booking(site.job, day=DAY + timedelta(days=1), crew=make_crew())
    assert titles(panels.laid_and_not_handed_over(office, after)) == []


@pytest.mark.parametrize("count", [1, 3])
def test_the_jobs_part_takes_two_queries(
    count: int, owner: Any, django_assert_num_queries: Any
) -> None:
    site = make_site_with(3)
    open_day(site)
    tap(site)
    crew = make_crew()
    make_person(crew=crew)
    for n in range(1, count):
        make_booking(site.job, day=DAY + timedelta(days=n), crew=crew)
    request = RequestFactory().get("/")
    request.user = owner
    owner.has_perm("jobs.view_work")
    with django_assert_num_queries(2):
        found = panels.job_lay_days(request, site.job)
    assert found is not None
    _, context = found
    assert [row.mixes_laid for row in context["days"]] == [1]
    assert len(context["booked"]) == count - 1


def test_a_job_without_lay_days_has_no_part(owner: Any) -> None:
    request = RequestFactory().get("/")
    request.user = owner
    assert panels.job_lay_days(request, make_job(stage="won")) is None
    assert panels.job_lay_days(request, make_job(stage="quoted")) is None


def test_the_jobs_page_leads_the_crew_lead_to_his_day(site: Site, phone: Client) -> None:
    page = phone.get(reverse("work:detail", args=[site.job.pk])).content.decode()
    assert reverse("laying:open", args=[site.job.pk, DAY.isoformat()]) in page
