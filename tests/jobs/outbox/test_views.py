"""The pages of messages: what a person is told and may decide; a fixed number of queries."""

from __future__ import annotations

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from jobs.kernel.registries import panels_for
from jobs.outbox.models import Message
from jobs.outbox.panels import job_messages, messages_in_doubt
from tests.factories import AT, make_job, numbers

pytestmark = pytest.mark.django_db
Log = Callable[[Any], Client]


def make_message(**more: Any) -> Message:
    values: dict[str, Any] = {
        "occasion": f"test:{next(numbers)}", "audience": "customer", "to": "anna@home.example",
        "subject": "Your drive", "body": "We come on Tuesday.", "due_at": AT, "created_at": AT,
    }  # fmt: skip
    return Message.objects.create(**values | more)


@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_a_fixed_number_of_queries(
    count: int, office: Any, client_for: Log, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        make_message()
    client = client_for(office)
    client.get(reverse("outbox:list"))
    # Session, user, two of permissions; count, rows.
    with django_assert_num_queries(6):
        page = client.get(reverse("outbox:list")).content.decode()
    assert page.count("Your drive") == count


def test_the_list_searches_and_filters(office: Any, client_for: Log) -> None:
    make_message(subject="Your quote", state="failed")
    make_message(subject="Move the car")
    client, url = client_for(office), reverse("outbox:list")
    assert "Move the car" not in client.get(url, {"q": "quote anna"}).content.decode()
    failed = client.get(url, {"state": "failed"}).content.decode()
    assert "Your quote" in failed
    assert "Move the car" not in failed
    rows = client.get(url, {"export": "csv"}).content.decode().splitlines()
    assert len(rows) == 3
    assert "not sent" in rows[1] + rows[2]


@pytest.mark.parametrize(
    ("state", "claimed", "again", "drop"),
    [
        ("due", None, False, True),
        ("sending", timedelta(minutes=1), False, False),
        ("sending", timedelta(minutes=11), True, True),
        ("sent", timedelta(minutes=11), False, False),
        ("failed", timedelta(minutes=1), True, True),
        ("dropped", None, True, False),
    ],
)
def test_what_a_person_may_decide(
    state: str, claimed: timedelta | None, again: bool, drop: bool, office: Any, client_for: Log
) -> None:
    at = timezone.now() - claimed if claimed else None
    message = make_message(state=state, claimed_at=at)
    page = client_for(office).get(reverse("outbox:detail", args=[message.pk])).content.decode()
    assert ("Send it again" in page) is again
    assert ("Do not send it" in page) is drop
    assert ("It may have left" in page) is (state == "sending" and again)


def test_a_message_shows_no_markup_of_its_writer(office: Any, client_for: Log) -> None:
    message = make_message(body="<script>alert(1)</script>")
    page = client_for(office).get(reverse("outbox:detail", args=[message.pk])).content.decode()
    assert "&lt;script&gt;alert(1)" in page


def test_a_jobs_page_shows_its_messages_only(office: Any, crew: Any, rf: Any) -> None:
    job = make_job()
    about = {"about_type": "jobs.job", "about_id": job.pk}
    mine = make_message(**about)
    make_message(about_type="jobs.customer", about_id=job.pk)
    request = rf.get("/")
    request.now = AT
    shown = job_messages(request, job)
    assert shown is not None
    assert [message for message, _level, _again in shown[1]["messages_about"]] == [mine]
    request.user = crew
    templates = {found["template"] for found in panels_for(request, "job", job)}
    assert "jobs/outbox/panel.html" not in templates


def test_a_jobs_page_says_why_and_sends_again_where_that_is_safe(
    office: Any, client_for: Log
) -> None:
    job = make_job()
    about = {"about_type": "jobs.job", "about_id": job.pk}
    failed = make_message(state="failed", last_error="No such mailbox", **about)
    make_message(state="sending", claimed_at=timezone.now(), **about)
    make_message(state="sent", channel="text", to="+447700900123", **about)
    page = client_for(office).get(reverse("work:detail", args=[job.pk])).content.decode()
    assert page.count("Send it again") == 1
    assert reverse("outbox:again", args=[failed.pk]) in page
    assert "No such mailbox" in page
    assert "text message to +447700900123" in page


def test_today_names_what_a_person_must_decide(office: Any) -> None:
    make_message(subject="failed", state="failed", last_error="No such mailbox")
    make_message(subject="doubt", state="sending", claimed_at=AT - timedelta(minutes=11))
    make_message(subject="ours", state="sending", claimed_at=AT - timedelta(hours=1),
                 audience="staff")  # fmt: skip
    make_message(subject="now", state="sending", claimed_at=AT)
    make_message(subject="done", state="sent")
    entries = {entry.title: entry for entry in messages_in_doubt(office, AT)}
    assert set(entries) == {"failed: not sent", "doubt: perhaps not sent"}
    assert "No such mailbox" in entries["failed: not sent"].why
