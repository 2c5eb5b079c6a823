"""Wordings are checked when they are saved; times are never shorter than the kit's record."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobs.kernel.errors import ServiceError
from jobs.kernel.registries import SurfaceTimes
from jobs.messages import rules
from jobs.messages.enums import Kind
from jobs.messages.rules import DEFAULTS, PLACEHOLDERS, UNKNOWN, Details, Floor
from jobs.outbox.enums import Channel
from jobs.outbox.rules import GSM_7, length_of


@pytest.mark.parametrize("kind", Kind.values)
def test_our_own_words_pass_our_own_checks(kind: str) -> None:
    for channel in Channel.values:
        words = DEFAULTS[Kind(kind), Channel(channel)]
        rules.check_wording(words.subject, kind, field="subject")
        rules.check_wording(words.body, kind, field="body")
        rules.check_says_it(words.body, kind)
    values = dict.fromkeys(PLACEHOLDERS[kind], "Tue 19 May")
    text = rules.fill(DEFAULTS[Kind(kind), Channel.TEXT].body, values)
    assert length_of(text).alphabet == GSM_7
    assert length_of(text).segments <= 2


def test_the_words_of_keep_off_defer_to_what_the_crew_left() -> None:
    for channel in Channel.values:
        assert "See what the crew left you" in DEFAULTS[Kind.KEEP_OFF, Channel(channel)].body


@pytest.mark.parametrize(
    "text", ["{price}", "{old_days} and {site}", "{Site}", "{ site }", "{", "}"]
)
def test_an_unknown_placeholder_is_refused_with_those_that_there_are(text: str) -> None:
    with pytest.raises(ServiceError) as refusal:
        rules.check_wording(text, "dates", field="body")
    said = refusal.value.message
    assert "{site}" in said
    if text == "{price}":
        assert all(f"{{{name}}}" in said for name in PLACEHOLDERS["dates"])


def test_a_kind_must_say_what_it_is_there_for() -> None:
    with pytest.raises(ServiceError, match=r"\{vehicles\}"):
        rules.check_says_it("On foot after {foot}.", "keep_off")


@given(st.text(max_size=60))
def test_what_is_filled_in_is_not_read_again(value: str) -> None:
    shown = rules.fill("For {customer}.", {"customer": f"{{site}}{value}", "site": "secret"})
    assert shown == f"For {{site}}{value}."


def test_what_is_not_known_is_seen_and_does_not_go() -> None:
    text = rules.fill("On foot after {foot}.", {"foot": ""})
    assert text == f"On foot after {UNKNOWN}."
    for words in (text, "We come to {site}."):
        with pytest.raises(ServiceError, match="fill in"):
            rules.refuse_gaps(words, field="body")


MINUTES = st.one_of(st.none(), st.integers(1, 10_000))


@given(st.lists(st.builds(SurfaceTimes, st.just("kit"), MINUTES, MINUTES), max_size=4))
def test_no_printed_time_is_longer_than_the_floor(times: list[SurfaceTimes]) -> None:
    floor = rules.floor_of(times)
    for row in times:
        assert row.foot_minutes is None or row.foot_minutes <= (floor.foot or 0) * 60
        assert row.vehicle_minutes is None or row.vehicle_minutes <= (floor.vehicles or 0) * 60
    if floor.foot and floor.vehicles:
        assert floor.vehicles >= floor.foot


FLOOR = Floor(12, 48, ("Kit 7",))


@pytest.mark.parametrize(
    ("foot", "wheels", "field"),
    [(None, 48, "foot_hours"), (12, None, "vehicle_hours"), (11, 48, "foot_hours"),
     (12, 47, "vehicle_hours"), (60, 48, "vehicle_hours")],
)  # fmt: skip
def test_times_shorter_than_the_record_are_refused_at_their_field(
    foot: int | None, wheels: int | None, field: str
) -> None:
    with pytest.raises(ServiceError) as refusal:
        rules.check_times(Details(foot_hours=foot, vehicle_hours=wheels), FLOOR)
    assert refusal.value.field == field


def test_longer_times_and_those_without_a_record_are_taken() -> None:
    rules.check_times(Details(foot_hours=12, vehicle_hours=48), FLOOR)
    rules.check_times(Details(foot_hours=24, vehicle_hours=72), FLOOR)
    rules.check_times(Details(foot_hours=6, vehicle_hours=24), Floor(None, None))


@pytest.mark.parametrize(
    "body",
    ["12 hours on foot, 4 days with a car.",  # lost the 48 hours
     "112 hours on foot, 48 hours with a car.",
     "12 hours on foot, 48 hours with a car; 8 h in the sun.",
     "12 hours on foot, 48 hours with a car; 90 minutes for cats.",
     "12 hours on foot, 48 hours with a car; 0,25 days for cats."],
)  # fmt: skip
def test_edited_words_neither_lose_a_time_nor_speak_of_a_shorter_one(body: str) -> None:
    with pytest.raises(ServiceError) as refusal:
        rules.check_still_says_times(body, Details(foot_hours=12, vehicle_hours=48))
    assert refusal.value.field == "body"


def test_edited_words_may_say_more() -> None:
    body = "12 hours on foot, 48 hours with a car, 3 days with a skip. Ring 01632 960123."
    rules.check_still_says_times(body, Details(foot_hours=12, vehicle_hours=48))


@pytest.mark.parametrize(
    ("last", "hours", "day"),
    [
        (date(2026, 5, 19), 24, date(2026, 5, 21)),  # six in the evening on Wednesday: Thursday
        (date(2026, 5, 19), 48, date(2026, 5, 22)),
        (date(2026, 5, 19), 30, date(2026, 5, 21)),  # midnight
        (date(2026, 5, 19), 31, date(2026, 5, 22)),
        # The clocks go back on Sunday 25 October 2026: 30 hours end at eleven in the evening.
        (date(2026, 10, 24), 30, date(2026, 10, 26)),
        (date(2026, 10, 24), 31, date(2026, 10, 26)),
        (date(2026, 10, 24), 32, date(2026, 10, 27)),
    ],
)
def test_a_car_comes_back_on_a_whole_day_after_its_hours(last: date, hours: int, day: date) -> None:
    assert rules.earliest_return(last, hours) == day


def test_a_car_does_not_come_back_before_the_kit_allows() -> None:
    details = Details(car_from=date(2026, 5, 19), car_until=date(2026, 5, 21))
    rules.check_car(details, date(2026, 5, 19), Floor(None, None))
    with pytest.raises(ServiceError, match="Fri 22 May 2026"):
        rules.check_car(details, date(2026, 5, 19), FLOOR)
