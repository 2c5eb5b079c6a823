"""The trail: written with the write or not at all, never changed, readable by those who may."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import DatabaseError, transaction
from django.test import Client
from django.urls import reverse

from jobs.audit.models import Event
from jobs.audit.queries import trail_of
from jobs.audit.rules import SHORT, change_words
from jobs.audit.services import changes, post_event
from tests.factories import AT, make_crew, make_job, make_user

Log = Callable[[Any], Client]


def post(subject: Any = None, **more: Any) -> Event:
    values: dict[str, Any] = {"verb": "change", "by": None, "at": AT}
    with transaction.atomic():
        return post_event(subject=subject or make_crew(), **values | more)


@pytest.mark.django_db(transaction=True)
def test_an_event_is_part_of_its_write() -> None:
    crew = make_crew()
    with pytest.raises(RuntimeError, match="in a transaction"):
        post_event(verb="change", subject=crew, by=None, at=AT)
    with transaction.atomic():
        post_event(verb="change", subject=crew, by=None, at=AT)
        transaction.set_rollback(True)
    assert not Event.objects.exists()


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("write", ["update", "delete"])
def test_an_event_is_written_once(write: str) -> None:
    rows = Event.objects.filter(pk=post().pk)
    write_it = {"update": lambda: rows.update(verb="other"), "delete": rows.delete}[write]
    with pytest.raises(DatabaseError), transaction.atomic():
        write_it()
    assert Event.objects.get().verb == "change"


@pytest.mark.django_db
def test_values_are_kept_as_json_can_keep_them() -> None:
    job = make_job()
    event = post(job, before={"day": date(2026, 5, 14), "price": Decimal("1.20"), "site": job.site},
                 after={"day": None, "told": True})  # fmt: skip
    event.refresh_from_db()
    assert event.before == {"day": "2026-05-14", "price": "1.20", "site": job.site.pk}
    assert event.after == {"day": None, "told": True}


@pytest.mark.django_db
def test_changes_are_only_what_changes() -> None:
    crew = make_crew(name="North")
    assert changes(crew, {"name": "North", "version": 2}) == ({"version": 1}, {"version": 2})


@pytest.mark.django_db
def test_a_trail_is_of_one_row_newest_first() -> None:
    crew = make_crew()
    post(crew, verb="add")
    post(crew, verb="change", at=AT + timedelta(hours=1), reason="asked to")
    post(make_crew())
    assert [(line.words, line.reason) for line in trail_of(crew)] == [
        ("changed", "asked to"), ("added", ""),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("before", "after", "words"),
    [
        ({"phone": "1"}, {"phone": "2"}, "phone 1 → 2"),
        ({}, {"amount": "12.00"}, "amount 12.00"),
        ({"told": False}, {"told": True}, "told no → yes"),
        ({"last_day": None}, {"last_day": "2026-05-14"}, "last day – → 2026-05-14"),
        ({"gone": "x"}, {}, "gone x → –"),
        ({}, {}, ""),
    ],
)
def test_changes_in_words(before: dict[str, Any], after: dict[str, Any], words: str) -> None:
    assert change_words(before, after) == words


def test_long_values_are_cut() -> None:
    assert change_words({}, {"note": "x" * 200}) == f"note {'x' * (SHORT - 1)}…"


@pytest.mark.django_db
@pytest.mark.parametrize("count", [1, 3])
def test_the_list_costs_a_fixed_number_of_queries(
    count: int, accountant: Any, client_for: Log, django_assert_num_queries: Any
) -> None:
    for _ in range(count):
        post(by=make_user("office"))
    client, url = client_for(accountant), reverse("audit:list")
    client.get(url)
    # Session, user, two of permissions; people of the filter, count, rows.
    with django_assert_num_queries(7):
        page = client.get(url).content.decode()
    assert page.count('data-label="Who"') == count


@pytest.mark.django_db
def test_the_list_searches_filters_and_exports(owner: Any, client_for: Log) -> None:
    user = make_user("office", name="Jo Reed")
    post(make_crew(name="North"), by=user, verb="set_pay_rate", after={"hourly": "=1+1"})
    post(make_crew(name="South"), at=AT + timedelta(days=2))
    client, url = client_for(owner), reverse("audit:list")

    def shown(**query: str) -> tuple[bool, bool]:
        page = client.get(url, query).content.decode().split('id="rows"')[1]
        return "North" in page, "South" in page

    assert shown() == (True, True)
    assert shown(q="pay_rate") == (True, False)
    assert shown(by=str(user.pk)) == (True, False)
    assert shown(from_day="2026-05-15") == (False, True)
    assert shown(to_day="2026-05-14") == (True, False)
    assert shown(from_day="never") == (False, False)
    text = client.get(url, {"export": "csv", "q": "North"}).content.decode()
    assert "set pay rate" in text or "set_pay_rate" in text
    assert "hourly =1+1" in text
