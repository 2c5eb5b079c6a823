"""When customers are reminded: on working days, in office hours, never twice within two days."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from jobs.calendar.rules import WorkingCalendar
from jobs.kernel.clock import LONDON
from quotes.chasing.rules import STALE, Step, due_step, is_decent, plan

WEEKDAYS = WorkingCalendar()
SENT = datetime(2026, 5, 14, 9, 0, tzinfo=LONDON)


def test_a_quote_of_thirty_days_by_hand() -> None:
    """Sent Thursday 14 May 2026, holds to Saturday 13 June: days counted on a printed calendar."""
    steps = plan(SENT, date(2026, 6, 13), WEEKDAYS)

    assert [(step.code, step.at.date()) for step in steps] == [
        ("d3", date(2026, 5, 18)),  # 17 May is a Sunday
        ("d7", date(2026, 5, 21)),
        ("d14", date(2026, 5, 28)),
        ("last", date(2026, 6, 11)),
    ]
    assert {step.at.time() for step in steps} == {time(10, 0)}


def test_a_quote_that_holds_a_week_is_reminded_of_twice_and_one_of_a_day_never() -> None:
    week = plan(SENT, date(2026, 5, 22), WEEKDAYS)

    assert [(step.code, step.at.day) for step in week] == [("d3", 18), ("last", 20)]
    assert plan(SENT, date(2026, 5, 15), WEEKDAYS) == ()


@given(
    days=st.integers(0, 90),
    sent=st.dates(date(2026, 1, 1), date(2027, 12, 31)),
    closed=st.sets(st.dates(date(2026, 1, 1), date(2028, 6, 1)), max_size=60),
)
@settings(max_examples=60, deadline=None)
def test_every_plan_is_decent(days: int, sent: date, closed: set[date]) -> None:
    at = datetime.combine(sent, time(16, 30), tzinfo=LONDON)
    calendar = WorkingCalendar(closed=frozenset(closed))
    until = at.date() + timedelta(days=days)

    steps = plan(at, until, calendar)

    assert len({step.code for step in steps}) == len(steps) <= 4
    moments = [step.at for step in steps]
    assert moments == sorted(moments)
    for step in steps:
        assert is_decent(step.at, calendar)
        assert at.date() + timedelta(days=2) <= step.at.date() <= until - timedelta(days=2)
    gaps = [b.date() - a.date() for a, b in pairwise(moments)]
    assert all(gap >= timedelta(days=2) for gap in gaps)


@pytest.mark.parametrize(
    ("when", "decent"),
    [
        (datetime(2026, 5, 18, 9, 0, tzinfo=LONDON), True),
        (datetime(2026, 5, 18, 8, 59, 59, tzinfo=LONDON), False),
        (datetime(2026, 5, 18, 17, 0, tzinfo=LONDON), False),
        (datetime(2026, 5, 17, 12, 0, tzinfo=LONDON), False),  # a Sunday
    ],
)
def test_office_hours(when: datetime, decent: bool) -> None:
    assert is_decent(when, WEEKDAYS) is decent


def test_only_the_newest_due_step_goes_and_none_that_is_stale_or_was_paused() -> None:
    first = Step("d3", SENT + timedelta(days=3))
    second = Step("d7", SENT + timedelta(days=7))
    steps, later = (first, second), second.at + timedelta(hours=1)

    assert due_step(steps, SENT, ()) is None
    assert due_step(steps, first.at, ()) == first
    assert due_step(steps, first.at, ("d3",)) is None
    assert due_step(steps, later, ()) == second
    assert due_step(steps, later, ("d7",)) is None  # d3 was missed, and stays so
    assert due_step(steps, second.at + STALE + timedelta(seconds=1), ()) is None
    assert due_step(steps, later, (), since=later) is None
