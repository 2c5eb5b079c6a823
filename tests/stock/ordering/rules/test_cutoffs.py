"""The last moment to order, against a search that tries every day."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from jobs.calendar.rules import NoOpenDayError, WorkingCalendar
from stock.ordering.rules import (
    ChannelTerms,
    arrival,
    counting_day,
    cutoff_instant,
    needed_on,
    next_cutoff,
    order_by,
)

LONDON = ZoneInfo("Europe/London")
WEEK = WorkingCalendar()
ONE = timedelta(days=1)


def terms(**fields: object) -> ChannelTerms:
    values: dict[str, object] = {
        "clock": LONDON,
        "cutoffs": dict.fromkeys(range(5), time(11, 45)),
        "lead_days": 2,
        "works": WEEK,
        "delivers": WEEK,
        "receives": WEEK,
    }
    return ChannelTerms(**values | fields)  # type: ignore[arg-type]


def london(*parts: int) -> datetime:
    return datetime(*parts, tzinfo=LONDON)  # type: ignore[arg-type, misc]


# -- one order -------------------------------------------------------------------------------


def test_order_in_the_cutoff_second_counts_that_day() -> None:
    # Thu 14 May 2026 + 2 working days = Mon 18 May.
    assert arrival(london(2026, 5, 14, 11, 45), terms()) == date(2026, 5, 18)


def test_order_within_the_cutoff_second_still_counts() -> None:
    assert counting_day(london(2026, 5, 14, 11, 45, 0, 999_999), terms()) == date(2026, 5, 14)


def test_order_one_second_late_arrives_a_day_later() -> None:
    assert arrival(london(2026, 5, 14, 11, 45, 1), terms()) == date(2026, 5, 19)


def test_order_on_a_day_without_cutoff_counts_on_the_next() -> None:
    assert counting_day(london(2026, 5, 16, 8, 0), terms()) == date(2026, 5, 18)


def test_lead_of_no_days_arrives_on_the_day_that_counts() -> None:
    assert arrival(london(2026, 5, 14, 9, 0), terms(lead_days=0)) == date(2026, 5, 14)


def test_arrival_waits_for_a_day_on_which_he_delivers_and_we_receive() -> None:
    tuesdays_thursdays = WorkingCalendar("0101000")
    not_tuesday = WorkingCalendar(closed=frozenset({date(2026, 5, 19)}))
    asked = terms(delivers=tuesdays_thursdays, receives=not_tuesday)
    assert arrival(london(2026, 5, 14, 9, 0), asked) == date(2026, 5, 21)


def test_cutoff_is_on_the_suppliers_clock() -> None:
    berlin = terms(clock=ZoneInfo("Europe/Berlin"))
    # 11:45 in Berlin is 10:45 in London.
    assert counting_day(london(2026, 5, 14, 10, 45), berlin) == date(2026, 5, 14)
    assert counting_day(london(2026, 5, 14, 10, 45, 1), berlin) == date(2026, 5, 15)


def test_supplier_that_never_works_says_so() -> None:
    with pytest.raises(NoOpenDayError):
        arrival(london(2026, 5, 14, 9, 0), terms(works=WorkingCalendar("0000000")))


# -- bank holidays: gov.uk data in govuk-bank-holidays 0.19 (facts read from the package) ------


def test_christmas_order_waits_for_the_substitute_day() -> None:
    """After 24 Dec 2026 comes 29 Dec: 25 Dec and the substitute 28 Dec are shut."""
    from govuk_bank_holidays.bank_holidays import BankHolidays

    data = BankHolidays(use_cached_holidays=True)
    shut = frozenset(day["date"] for day in data.get_holidays(BankHolidays.ENGLAND_AND_WALES))
    england = WorkingCalendar(closed=shut)
    asked = terms(works=england, delivers=england, receives=england, lead_days=1)
    assert arrival(london(2026, 12, 24, 9, 0), asked) == date(2026, 12, 29)
    assert arrival(london(2026, 4, 2, 9, 0), asked) == date(2026, 4, 7)
    moment = order_by(date(2026, 12, 29), asked)
    assert moment is not None
    assert moment.order_by == london(2026, 12, 24, 11, 45)


# -- nights on which the clocks change (zoneinfo: back 25 Oct 2026, forward 29 Mar 2026) --------


def test_cutoff_in_the_repeated_hour_is_the_first() -> None:
    at = cutoff_instant(date(2026, 10, 25), time(1, 30), LONDON)
    assert at == datetime(2026, 10, 25, 0, 30, tzinfo=UTC)


def test_order_in_the_second_repeated_hour_is_late() -> None:
    always = WorkingCalendar("1111111")
    asked = terms(cutoffs=dict.fromkeys(range(7), time(1, 30)), works=always)
    second = datetime(2026, 10, 25, 1, 20, fold=1, tzinfo=LONDON)
    assert counting_day(second, asked) == date(2026, 10, 26)
    assert counting_day(second.replace(fold=0), asked) == date(2026, 10, 25)


def test_cutoff_that_the_clocks_jump_over_is_the_last_second_before() -> None:
    at = cutoff_instant(date(2026, 3, 29), time(1, 30), LONDON)
    assert at == datetime(2026, 3, 29, 0, 59, 59, tzinfo=UTC)


def test_cutoff_at_noon_follows_the_clocks() -> None:
    saturday = cutoff_instant(date(2026, 3, 28), time(12), LONDON)
    sunday = cutoff_instant(date(2026, 3, 29), time(12), LONDON)
    assert sunday - saturday == timedelta(hours=23)


# -- the last moment -------------------------------------------------------------------------


def test_last_moment_to_have_it_on_a_day() -> None:
    moment = order_by(date(2026, 5, 18), terms())
    assert moment is not None
    assert moment.order_by == london(2026, 5, 14, 11, 45)
    assert moment.arrives_on == date(2026, 5, 18)


def test_last_moment_goes_before_a_day_on_which_the_supplier_is_closed() -> None:
    closed = WorkingCalendar(closed=frozenset({date(2026, 5, 14)}))
    moment = order_by(date(2026, 5, 18), terms(works=closed))
    assert moment is not None
    assert moment.order_by == london(2026, 5, 13, 11, 45)


def test_channel_without_cutoffs_has_no_last_moment() -> None:
    assert order_by(date(2026, 5, 18), terms(cutoffs={})) is None
    assert next_cutoff(london(2026, 5, 14, 9, 0), terms(cutoffs={})) is None


def test_next_cutoff_is_todays_until_it_has_passed() -> None:
    assert next_cutoff(london(2026, 5, 14, 11, 45), terms()) == london(2026, 5, 14, 11, 45)
    assert next_cutoff(london(2026, 5, 15, 11, 46), terms()) == london(2026, 5, 18, 11, 45)


# -- needed ----------------------------------------------------------------------------------


def test_needed_is_our_last_working_day_before_the_phase() -> None:
    assert needed_on(date(2026, 5, 19), WEEK) == date(2026, 5, 18)
    assert needed_on(date(2026, 5, 18), WEEK) == date(2026, 5, 15)


@pytest.mark.parametrize(
    ("hours", "day"), [(1, date(2026, 5, 19)), (24, date(2026, 5, 19)), (25, date(2026, 5, 18))]
)
def test_kit_is_needed_earlier_by_its_conditioning_hours(hours: int, day: date) -> None:
    # Laid on Thu 21 May: there at the end of that day, it stands whole days until laying begins.
    assert needed_on(date(2026, 5, 21), WEEK, hours) == day


# -- against a search that tries every day -----------------------------------------------------

weeks = st.text("01", min_size=7, max_size=7).filter(lambda week: "1" in week)
days = st.dates(date(2026, 3, 1), date(2026, 11, 30))
calendars = st.builds(WorkingCalendar, week=weeks, closed=st.frozensets(days, max_size=4))
channels = st.builds(
    ChannelTerms,
    clock=st.sampled_from([LONDON, ZoneInfo("Europe/Madrid"), ZoneInfo("America/New_York")]),
    cutoffs=st.dictionaries(
        st.integers(0, 6), st.times().map(lambda t: t.replace(microsecond=0)), min_size=1
    ),
    lead_days=st.integers(0, 6),
    works=calendars,
    delivers=calendars,
    receives=calendars,
)


def plain_arrival(at: datetime, asked: ChannelTerms) -> date | None:
    """Walk day by day as one would on a wall calendar; None: not within 400 days."""
    day = at.astimezone(asked.clock).date()
    counted, lead = None, 0
    for _ in range(400):
        works = asked.works.week[day.weekday()] == "1" and day not in asked.works.closed
        if counted is None:
            wall = asked.cutoffs.get(day.weekday())
            if works and wall is not None and at <= cutoff_instant(day, wall, asked.clock):
                counted = day
        elif works:
            lead += 1
        if (
            counted is not None
            and lead >= asked.lead_days
            and all(
                calendar.week[day.weekday()] == "1" and day not in calendar.closed
                for calendar in (asked.works, asked.delivers, asked.receives)
            )
        ):
            return day
        day += ONE
    return None


@settings(deadline=None, max_examples=150)
@given(asked=channels, minutes=st.integers(0, 226 * 1440), seconds=st.integers(0, 59))
def test_arrival_is_what_a_walk_over_the_days_finds(
    asked: ChannelTerms, minutes: int, seconds: int
) -> None:
    moment = datetime(2026, 3, 20, tzinfo=UTC) + timedelta(minutes=minutes, seconds=seconds)
    try:
        found = arrival(moment, asked)
    except NoOpenDayError:
        assert plain_arrival(moment, asked) is None
    else:
        assert found == plain_arrival(moment, asked)


@settings(deadline=None, max_examples=150)
@given(asked=channels, needed=days)
@example(asked=terms(cutoffs={6: time(1, 30)}, works=WorkingCalendar("1111111")),
         needed=date(2026, 3, 31))  # fmt: skip
def test_last_moment_arrives_and_a_second_later_does_not(asked: ChannelTerms, needed: date) -> None:
    moment = order_by(needed, asked)
    if moment is None:
        early = datetime.combine(needed - timedelta(days=120), time(), tzinfo=UTC)
        found = plain_arrival(early, asked)
        assert found is None or found > needed
        return
    assert plain_arrival(moment.order_by, asked) == moment.arrives_on
    assert moment.arrives_on <= needed
    late = plain_arrival(moment.order_by + timedelta(seconds=1), asked)
    assert late is None or late > needed


@settings(deadline=None, max_examples=60)
@given(asked=channels, needed=days)
def test_more_lead_never_gives_more_time(asked: ChannelTerms, needed: date) -> None:
    first, second = order_by(needed, asked), order_by(needed, replace(asked, lead_days=7))
    if first is not None and second is not None:
        assert second.order_by <= first.order_by
