"""The pages: words filled in by the kind, kept when refused, and a fixed number of queries."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.kernel.clock import london_day
from jobs.messages.models import CustomerMessage, Wording
from jobs.outbox.models import Message
from jobs.work.models import Job
from tests.factories import make_booking
from tests.jobs.messages.world import make_told_job, send

pytestmark = pytest.mark.django_db
Log = Callable[[Any], Client]


@pytest.fixture
def job() -> Job:
    """A job that is laid in a fortnight by the clock of this machine."""
    found = make_told_job()
    found.bookings.all().delete()
    make_booking(found, day=london_day(timezone.now()) + timedelta(days=14))
    return found


def write_url(job: Job) -> str:
    return reverse("messages:write", args=[job.pk])


def hidden(page: str) -> dict[str, str]:
    """Return what the form of the words carries: its fields as a browser would send them."""
    form = page[page.index("data-once") :]
    found = dict(re.findall(r'<input type="hidden" name="(\w+)" value="([^"]*)"', form))
    text = re.search(r'<textarea name="body"[^>]*>\n?(.*?)</textarea>', form, re.DOTALL)
    head = re.search(r'<input type="text" name="subject" value="([^"]*)"', form)
    to = re.search(r'<option value="([^"]+)" selected', form)
    assert text is not None
    assert to is not None
    found |= {"body": text[1].strip(), "to": to[1], "subject": head[1] if head else ""}
    return found


@pytest.mark.parametrize("kind", ["dates", "changed", "car", "rain", "keep_off", "free"])
def test_each_kind_is_filled_in_and_goes_with_what_the_page_carries(
    kind: str, job: Job, office: Any, client_for: Log
) -> None:
    client = client_for(office)
    asked = (
        {"kind": kind, "old_first": "2026-05-01"} if kind in {"changed", "rain"} else {"kind": kind}
    )
    page = client.get(write_url(job), asked).content.decode()
    assert job.customer.name in hidden(page)["body"]
    answer = client.post(write_url(job), hidden(page) | {"subject": "About your drive"})
    assert answer.status_code == 302, re.findall(
        r'class="[^"]*error[^"]*".*', answer.content.decode()
    )
    row = CustomerMessage.objects.get()
    assert (row.kind, row.written_by, row.message.state) == (kind, office, "due")
    assert row.message.about_id == job.pk
    log = client.get(job.get_absolute_url()).content.decode()
    assert "About your drive" in log
    assert "waiting" in log


def test_a_time_that_is_too_short_is_said_at_its_figure_and_the_words_stay(
    job: Job, office: Any, client_for: Log
) -> None:
    client = client_for(office)
    asked = {"kind": "keep_off", "foot_hours": "6", "vehicle_hours": "48"}
    page = client.get(write_url(job), asked).content.decode()
    answer = client.post(write_url(job), hidden(page) | {"subject": "My own head"})
    text = answer.content.decode()
    assert answer.status_code == 422
    assert "at least 12 hours" in text
    assert text.index("at least 12 hours") < text.index("data-once")
    assert "My own head" in text
    assert "Kit 7: 12 hours on foot and 48 hours for vehicles at 20" in text
    assert not Message.objects.exists()


@pytest.mark.parametrize(
    "asked",
    [{}, {"kind": "weather"}, {"kind": "car", "car_from": "soon"}, {"kind": "keep_off",
     "foot_hours": "many"}, {"booking": "x"}, {"kind": "dates", "booking": "9" * 30},
     {"channel": "pigeon"}, {"kind": "dates", "booking": "999999"}],
)  # fmt: skip
def test_an_address_that_asks_for_nonsense_is_a_page_all_the_same(
    asked: dict[str, str], job: Job, office: Any, client_for: Log
) -> None:
    client = client_for(office)
    assert client.get(write_url(job), asked).status_code == 200
    assert client.post(write_url(job), asked).status_code == 422


def test_texts_are_offered_only_where_they_can_go(
    job: Job, settings: Any, office: Any, client_for: Log
) -> None:
    client = client_for(office)
    asked = {"kind": "car", "channel": "text"}
    page = client.get(write_url(job), asked).content.decode()
    assert '<option value="text"' not in page
    assert "Text messages are off" in page
    settings.TEXT_GATEWAY = "file"
    job.customer.texts_agreed = True
    job.customer.save()
    page = client.get(write_url(job), asked).content.decode()
    assert '<option value="text" selected' in page
    assert re.search(r"\d+ characters in GSM-7, [12] segments? as filled in", page)
    assert client.post(write_url(job), hidden(page)).status_code == 302
    assert Message.objects.get().to == "+447700900123"


def test_a_customer_without_an_address_is_said_so(job: Job, office: Any, client_for: Log) -> None:
    job.customer.email = ""
    job.customer.save()
    page = client_for(office).get(write_url(job), {"kind": "car"}).content.decode()
    assert "There is no e-mail address to write to" in page


def test_the_ids_of_the_two_forms_differ(job: Job, office: Any, client_for: Log) -> None:
    client = client_for(office)
    page = client.get(write_url(job), {"kind": "keep_off"}).content.decode()
    refused = client.post(write_url(job), hidden(page) | {"foot_hours": "1", "body": ""})
    for shown in (page, refused.content.decode()):
        ids = re.findall(r'\sid="([^"]+)"', shown)
        assert len(ids) == len(set(ids))


def test_the_job_and_the_booking_lead_here(
    job: Job, office: Any, crew: Any, client_for: Log
) -> None:
    booking = job.bookings.get()
    client = client_for(office)
    assert f"{write_url(job)}?kind=keep_off" in client.get(job.get_absolute_url()).content.decode()
    page = client.get(booking.get_absolute_url()).content.decode()
    assert f"{write_url(job)}?kind=rain&amp;booking={booking.pk}" in page
    assert write_url(job) not in client_for(crew).get(job.get_absolute_url()).content.decode()


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_a_fixed_number_of_queries(
    count: int, office: Any, client_for: Log, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        send(make_told_job(), "car", by=office)
    client = client_for(office)
    client.get(reverse("messages:list"))
    # Session, user, two of permissions; count, rows.
    with django_assert_num_queries(6):
        page = client.get(reverse("messages:list")).content.decode()
    assert f"{count} in all" in page


def test_the_list_searches_filters_and_is_taken_away(office: Any, client_for: Log) -> None:
    job = make_told_job(name="Mill Farm")
    send(job, "car")
    send(make_told_job(), "free")
    client, url = client_for(office), reverse("messages:list")
    found = client.get(url, {"q": "mill car"}).content.decode()
    assert "1 found" in found
    assert "1 found" in client.get(url, {"kind": "free", "state": "due"}).content.decode()
    rows = client.get(url, {"export": "csv"}).content.decode().splitlines()
    assert len(rows) == 3
    assert "waiting" in rows[1]


# -- the firm's words --------------------------------------------------------------------------


def test_words_are_looked_at_with_a_jobs_data_and_then_kept(
    job: Job, office: Any, client_for: Log
) -> None:
    client = client_for(office)
    url = reverse("messages:wording", args=["dates", "mail"])
    typed = {
        "valid_from": london_day(timezone.now()), "subject": "{job}",
        "body": "Dear {customer}, {days}",
    }  # fmt: skip
    look = client.post(f"{url}?job={job.pk}", typed | {"look": "1"})
    assert look.status_code == 200
    assert f"Dear {job.customer.name}, " in look.content.decode()
    assert not Wording.objects.exists()
    assert client.post(url, typed).status_code == 302
    page = client.get(write_url(job), {"kind": "dates"}).content.decode()
    assert hidden(page)["body"].startswith(f"Dear {job.customer.name}, ")
    assert "Take back" in client.get(url).content.decode()
    remove = reverse("messages:wording_remove", args=[Wording.objects.get().pk])
    assert client.post(remove).status_code == 302
    assert not Wording.objects.exists()


def test_an_unknown_placeholder_is_refused_at_the_words(office: Any, client_for: Log) -> None:
    url = reverse("messages:wording", args=["free", "text"])
    answer = client_for(office).post(
        url, {"valid_from": london_day(timezone.now()), "body": "It costs {price}."}
    )
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "{price} cannot be filled in here. There are: {firm}, {customer}" in text
    assert "It costs {price}." in text


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_of_words_costs_a_fixed_number_of_queries(
    count: int, office: Any, client_for: Log, django_assert_num_queries: Any
) -> None:
    today = london_day(timezone.now())
    for n in range(count):
        Wording.objects.create(
            kind="free", channel="mail", valid_from=today + timedelta(days=n), subject="{job}",
            body=f"words {uuid4()}", written_at=timezone.now(), written_by=office,
        )  # fmt: skip
    client = client_for(office)
    client.get(reverse("messages:words"))
    # Session, user, two of permissions; count, rows.
    with django_assert_num_queries(6):
        page = client.get(reverse("messages:words")).content.decode()
    assert f"{count} in all" in page
