"""Working days, against the GOV.UK list of bank holidays and numpy's business days."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.calendar.queries import bank_holidays
from jobs.calendar.rules import NoOpenDayError, WorkingCalendar

WEEK = WorkingCalendar(closed=bank_holidays())
DAYS = st.dates(date(2026, 1, 1), date(2027, 12, 31))


def test_bank_holidays_of_2026_are_those_of_gov_uk() -> None:
    # GOV.UK bank holidays, England and Wales, as shipped in govuk-bank-holidays 0.19.
    assert sorted(day for day in bank_holidays() if day.year == 2026) == [
        date(2026, 1, 1), date(2026, 4, 3), date(2026, 4, 6), date(2026, 5, 4), date(2026, 5, 25),
        date(2026, 8, 31), date(2026, 12, 25), date(2026, 12, 28),
    ]  # fmt: skip


@pytest.mark.parametrize(("month", "days"), [(3, 22), (4, 20), (5, 19), (8, 20), (12, 21)])
def test_working_days_of_a_month(month: int, days: int) -> None:
    # Counted with govuk-bank-holidays 0.19 from the GOV.UK data.
    first = date(2026, month, 1)
    last = (first.replace(day=28) + timedelta(days=4)).replace(day=1) - timedelta(days=1)
    assert len(WEEK.between(first, last)) == days


@pytest.mark.parametrize(
    ("day", "following"),
    [
        (date(2026, 12, 24), date(2026, 12, 29)),
        (date(2026, 4, 2), date(2026, 4, 7)),
        (date(2027, 12, 24), date(2027, 12, 29)),
    ],
)
def test_the_next_working_day(day: date, following: date) -> None:
    # govuk-bank-holidays 0.19, get_next_work_day.
    assert WEEK.after(day, 1) == following


@given(day=DAYS, count=st.integers(0, 40))
def test_counting_agrees_with_numpy(day: date, count: int) -> None:
    holidays = np.array(sorted(bank_holidays()), dtype="datetime64[D]")
    on = np.busday_offset(np.datetime64(day), 0, roll="forward", holidays=holidays)
    # Ours does not count the day itself, open or not; numpy first rolls a closed day forward.
    start = np.busday_offset(np.datetime64(day), 0, roll="backward", holidays=holidays)
    expected = np.busday_offset(start, count, holidays=holidays) if count else on
    assert WEEK.after(day, count) == expected.astype(date)


@given(day=DAYS, count=st.integers(1, 40))
def test_before_undoes_after(day: date, count: int) -> None:
    start = WEEK.on_or_after(day)
    assert WEEK.before(WEEK.after(start, count), count) == start


def test_a_calendar_that_is_never_open_is_refused() -> None:
    with pytest.raises(NoOpenDayError):
        WorkingCalendar(week="0000000").on_or_after(date(2026, 5, 14))
