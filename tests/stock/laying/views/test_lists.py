"""The list of days, opening one, the day sheet, differences."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pypdf import PdfReader

from jobs.calendar.models import Resource, Slot
from stock.laying.models import Discrepancy, LayDay
from tests.factories import AT, DAY, make_area, make_booking, make_crew, make_job, make_survey
from tests.stock.laying.views.test_day import words
from tests.stock.laying.world import Site, make_site_with, open_day, tap

pytestmark = pytest.mark.django_db
ClientFor = Callable[[Any], Client]
LIST_QUERIES = 7
DIFFERENCES_QUERIES = 6


def url(name: str, *args: Any) -> str:
    return reverse(f"laying:{name}", args=args)


def jobs_listed(response: Any) -> list[Any]:
    return [row.record.booking.job for row in response.context["table"].rows]


def test_the_crew_lead_sees_his_crews_days_and_the_storeman_all(
    site: Site, phone: Client, yard: Client
) -> None:
    other = make_job(stage="booked")
    make_booking(other)
    assert jobs_listed(phone.get(url("list"))) == [site.job]
    assert set(jobs_listed(yard.get(url("list")))) == {site.job, other}


def test_today_comes_first_then_what_comes_then_what_was(yard: Client) -> None:
    crew = make_crew()
    jobs = {}
    for days in (-2, 3, 0, 1, -1):
        jobs[days] = make_job(stage="booked")
        make_booking(jobs[days], day=DAY + timedelta(days=days), crew=crew)
    listed = jobs_listed(yard.get(url("list")))
    assert listed == [jobs[days] for days in (0, 1, 3, -1, -2)]
    for when, expected in (("today", [0]), ("coming", [1, 3]), ("past", [-1, -2])):
        assert jobs_listed(yard.get(url("list"), {"when": when})) == [jobs[d] for d in expected]
    assert len(jobs_listed(yard.get(url("list"), {"crew": crew.pk}))) == 5
    assert jobs_listed(yard.get(url("list"), {"q": jobs[1].reference})) == [jobs[1]]
    assert jobs_listed(yard.get(url("list"), {"crew": make_crew().pk})) == []


def test_a_day_with_crew_and_mixer_is_listed_once(site: Site, yard: Client) -> None:
    mixer = Resource.objects.create(kind="mixer", name="Mixer 1")
    Slot.objects.create(resource=mixer, day=DAY, half="am", booking=site.booking)
    assert jobs_listed(yard.get(url("list"))) == [site.job]


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_the_same_for_any_number(
    count: int, yard: Client, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        make_booking(make_job(stage="booked"))
    with django_assert_num_queries(LIST_QUERIES):
        response = yard.get(url("list"))
    assert len(response.context["table"].rows) == count


def test_the_list_is_taken_away_with_its_states(site: Site, yard: Client) -> None:
    open_day(site)
    tap(site)
    tap(site)
    file = yard.get(url("list"), {"export": "csv"}).content.decode()
    rows = list(csv.DictReader(io.StringIO(file)))
    assert [(row["Job"], row["Mixes"], row["State"]) for row in rows] == [
        (site.job.reference, "2", "laying")
    ]


def test_a_row_leads_to_the_day_or_to_the_question(site: Site, phone: Client) -> None:
    ask = url("open", site.job.pk, DAY.isoformat())
    assert f'href="{ask}"' in phone.get(url("list")).content.decode()
    day = open_day(site)
    assert f'href="{url("day", day.pk)}"' in phone.get(url("list")).content.decode()


def test_without_a_crew_the_list_says_what_to_do(
    crew: Any, on_the_day: None, client_for: ClientFor
) -> None:
    assert "the office ties your log-in to a crew" in words(client_for(crew).get(url("list")))


# -- opening -----------------------------------------------------------------------------------


def test_a_day_is_opened_by_a_post_only_and_once(site: Site, phone: Client) -> None:
    ask = url("open", site.job.pk, DAY.isoformat())
    assert "Open the day" in words(phone.get(ask))
    assert not LayDay.objects.exists()
    for _ in range(2):
        response = phone.post(ask)
        assert response["Location"] == url("day", LayDay.objects.get().pk)


def test_tomorrows_day_waits(crew: Any, site: Site, phone: Client) -> None:
    morrow = DAY + timedelta(days=1)
    make_booking(site.job, day=morrow, crew=site.booking.slots.get(half="am").resource.crew)
    ask = url("open", site.job.pk, morrow.isoformat())
    assert "The day has not come yet." in words(phone.get(ask))
    refused = phone.post(ask)
    assert refused.status_code == 422
    assert not LayDay.objects.exists()


@pytest.mark.parametrize("day", ["2026-05-13", "2026-13-40", "today", "20260514x"])
def test_a_day_that_is_not_booked_is_not_found(day: str, site: Site, phone: Client) -> None:
    for name in ("open", "sheet", "sheet_pdf"):
        assert phone.get(url(name, site.job.pk, day)).status_code == 404


def test_a_day_that_was_opened_is_found_after_its_booking_went(site: Site, phone: Client) -> None:
    day = open_day(site, by=None)
    site.booking.cancelled_at = AT
    site.booking.save()
    assert phone.get(url("day", day.pk)).status_code == 200
    assert phone.get(url("sheet", site.job.pk, DAY.isoformat())).status_code == 200


# -- the day sheet -----------------------------------------------------------------------------


def test_the_day_sheet_says_where_what_and_with_which_care(site: Site, phone: Client) -> None:
    site.job.site.notes = "Gate code is with the neighbour."
    site.job.site.save()
    make_area(make_survey(site.job, finished_at=AT), name="drive")
    page = words(phone.get(url("sheet", site.job.pk, DAY.isoformat())))
    for said in (
        "Gate code is with the neighbour.",
        "3 mixes planned",
        "drive 21.08 20 pour 1 buff",
        f"One mix of {site.blend}: 1 kit of {site.blend.kit}, 4 bags of",
        "0.5 bags of",
        site.lots["kit"].code,
        "isocyanates",
        "stand upwind, wear a mask",
        "Heavy packs",
        "reaches the action value after 333 min",
        "Follow the safety data sheet",
        "by hand when the phone is dead",
    ):
        assert said in page, said


def test_the_paper_has_what_was_logged(site: Site, phone: Client) -> None:
    open_day(site)
    tap(site)
    pdf = phone.get(url("sheet_pdf", site.job.pk, DAY.isoformat()))
    assert pdf["Content-Type"] == "application/pdf"
    text = " ".join(
        " ".join(each.extract_text() for each in PdfReader(io.BytesIO(pdf.content)).pages).split()
    )
    assert f"Day sheet {site.job.reference}, Thu 14 May 2026" in text
    assert "3 mixes planned; logged on this day: 1." in text
    assert "1 (A) 09:00" in text
    assert site.lots["stone"].run in text


# -- differences -------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [1, 3])
def test_the_differences_cost_the_same_for_any_number(
    count: int, yard: Client, django_assert_num_queries: Any
) -> None:
    day = open_day(make_site_with(1))
    for n in range(count):
        Discrepancy.objects.create(lay_day=day, what=f"{n + 1} kits are missing.", found_at=AT)
    with django_assert_num_queries(DIFFERENCES_QUERIES):
        response = yard.get(url("differences"))
    assert len(response.context["table"].rows) == count


def test_an_answered_difference_is_left_out_until_it_is_asked_for(yard: Client) -> None:
    site = make_site_with(1, issue=False)
    open_day(site)
    tap(site)
    asked = Discrepancy.objects.get()
    page = yard.get(url("answer", asked.pk))
    assert "Book the mix now" in words(page)
    refused = yard.post(url("answer", asked.pk), {"answer": "It was issued.", "settle": "on"})
    assert refused.status_code == 422
    assert "Issue it to the job first." in words(refused)
    assert "It was issued." in refused.content.decode()
    yard.post(url("answer", asked.pk), {"answer": "Taken from the other van."})
    assert len(yard.get(url("differences")).context["table"].rows) == 0
    shown = yard.get(url("differences"), {"answered": "all"})
    assert "Taken from the other van." in words(shown)
