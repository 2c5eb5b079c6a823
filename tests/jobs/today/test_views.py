"""One landing page whatever roles somebody holds: what presses first, nothing twice."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.test import Client

from jobs.kernel.clock import LONDON
from jobs.kernel.registries import TODAY, TodayEntry
from jobs.today.queries import entries_for, split_by_day
from tests.factories import AT, make_user

pytestmark = pytest.mark.django_db
Log = Callable[[Any], Client]
HOUR = timedelta(hours=1)


def entry(title: str, at: datetime | None = None) -> TodayEntry:
    return TodayEntry(at=at, title=title, why="Because.", url="/jobs/", button="Look", level="look")


@pytest.fixture
def providers() -> Iterator[Any]:
    """Replace what the rooms registered by providers of the test."""
    standing = list(TODAY)
    TODAY.clear()

    def register(permission: str, *entries: TodayEntry) -> None:
        TODAY.append((permission, lambda *_: entries))

    yield register
    TODAY[:] = standing


def titles(entries: list[TodayEntry]) -> list[str]:
    return [found.title for found in entries]


def test_entries_run_by_the_clock_and_those_without_a_time_come_last(providers: Any) -> None:
    providers("jobs.view_work", entry("late", AT + 3 * HOUR), entry("b whenever"))
    providers("jobs.view_work", entry("soon", AT + HOUR), entry("a whenever"))
    providers("jobs.view_work", entry("missed", AT - HOUR))
    found = titles(entries_for(make_user("crew"), AT))
    assert found == ["missed", "soon", "late", "a whenever", "b whenever"]


def test_only_what_one_may_act_on_is_asked_for(providers: Any) -> None:
    providers("jobs.record_payment", entry("money"))
    providers("jobs.log_lay_day", entry("lay"))

    def never(user: Any, now: datetime) -> list[TodayEntry]:
        raise AssertionError("asked for somebody who may not see it")

    TODAY.append(("jobs.manage_team", never))
    assert titles(entries_for(make_user("crew"), AT)) == ["lay"]
    assert titles(entries_for(make_user("accountant"), AT)) == ["money"]


def test_several_roles_see_all_of_it_once(providers: Any) -> None:
    providers("jobs.view_work", entry("work", AT))
    providers("jobs.record_payment", entry("money", AT + HOUR))
    providers("jobs.log_lay_day", entry("lay", AT - HOUR))
    both = make_user("crew", "accountant", "office")
    assert titles(entries_for(both, AT)) == ["lay", "work", "money"]


def test_today_ends_at_londons_midnight(providers: Any) -> None:
    # 23:30 UTC on 14 May is half past midnight on the 15th in British Summer Time.
    tomorrow = datetime.fromisoformat("2026-05-14T23:30:00+00:00")
    tonight = datetime(2026, 5, 14, 23, 59, tzinfo=LONDON)
    every = [entry("tonight", tonight), entry("tomorrow", tomorrow), entry("any time")]
    now, later = split_by_day(every, AT)
    assert (titles(now), titles(later)) == (["tonight", "any time"], ["tomorrow"])


def test_the_page_for_somebody_with_several_roles(providers: Any, client_for: Log) -> None:
    providers("jobs.record_payment", entry("Deposit of £40"))
    user = make_user("accountant", "crew")
    page = client_for(user).get("/today/").content.decode()
    assert "Accountant, Crew lead" in page
    assert page.count("Because.") == 1
    assert "Take an enquiry" not in page


def test_a_day_on_which_nothing_presses_says_so(providers: Any, client_for: Log) -> None:
    page = client_for(make_user("crew")).get("/today/").content.decode()
    assert "Nothing presses today." in page
    assert "In the next days" not in page


@pytest.mark.parametrize("count", [1, 3])
def test_the_page_itself_asks_a_fixed_number_of_queries(
    count: int, providers: Any, client_for: Log, django_assert_num_queries: Any, monkeypatch: Any
) -> None:
    monkeypatch.setattr("jobs.kernel.registries.PANELS", [])  # the rooms count their own
    providers("jobs.view_work", *(entry(f"entry {n}") for n in range(count)))
    client = client_for(make_user("crew", "office"))
    client.get("/today/")
    # Session, user, two of permissions, the roles' names.
    with django_assert_num_queries(5):
        page = client.get("/today/").content.decode()
    assert page.count("entry ") >= count
