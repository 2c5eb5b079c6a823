"""Reminders: one a step, none once answered, and the look at prices that rose since sending."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client

from jobs.customers.models import Customer
from jobs.kernel.models import TaskRun
from jobs.outbox.models import Message
from jobs.outbox.services import send_again, send_message
from jobs.work.services import lose_job
from quotes.acceptance import services as answers
from quotes.acceptance.queries import open_link
from quotes.chasing import panels, queries, services, tasks
from quotes.chasing.models import Watch
from quotes.chasing.rules import STALE
from quotes.quoting.models import Revision
from quotes.quoting.services import revise, send_revision
from tests.factories import make_price
from tests.quotes.acceptance.world import YES, SentWorld, make_sent
from tests.quotes.chasing import roles

pytestmark = pytest.mark.django_db
assert roles.ROWS
# d3 of a quote sent Thursday 14 May falls on Monday 18 May, ten o'clock.
MONDAY = timedelta(days=4, hours=1)


def due(at: datetime) -> list[int]:
    from jobs.calendar.queries import firm_calendar

    return queries.to_chase(at, firm_calendar())


def test_a_reminder_goes_once_with_a_link_of_its_own(at: datetime) -> None:
    sent = make_sent()
    monday = at + MONDAY
    assert due(monday - timedelta(seconds=1)) == []
    assert due(monday) == [sent.revision.pk]

    message = services.chase(revision_id=sent.revision.pk, at=monday)
    again = services.chase(revision_id=sent.revision.pk, at=monday + timedelta(minutes=5))

    assert message is not None
    assert again is None
    assert due(monday + timedelta(minutes=5)) == []
    assert (message.to, message.audience) == ("home@customer.example", "customer")
    assert f"£{sent.revision.gross:,.2f}" in message.body
    token = message.body.split("/q/")[1].split("/")[0]
    for key in (token, sent.token):  # the link that went out first stays good
        found = open_link(key, monday)
        assert found is not None
        assert found.shut == ""
    assert Message.objects.filter(occasion__startswith="chase:").count() == 1
    assert due(at + timedelta(days=7, hours=1)) == [sent.revision.pk]


def test_nobody_is_written_to_out_of_hours(at: datetime) -> None:
    sent = make_sent()

    night = at + MONDAY + timedelta(hours=10)

    assert services.chase(revision_id=sent.revision.pk, at=night) is None


def answered(sent: SentWorld, at: datetime) -> None:
    answers.accept(
        token=sent.token, name="A", consents=YES, options=[], network_address=None, user_agent="",
        at=at,
    )  # fmt: skip


def declined(sent: SentWorld, at: datetime) -> None:
    answers.decline(token=sent.token, reason="Too dear", at=at)


def replaced(sent: SentWorld, at: datetime) -> None:
    new = revise(revision_id=sent.revision.pk, by=None, at=at)
    send_revision(revision_id=new.pk, to="home@customer.example", by=None, at=at)


def lost(sent: SentWorld, at: datetime) -> None:
    lose_job(job_id=sent.world.job.pk, reason="price", note="", by=None, at=at)


def paused(sent: SentWorld, at: datetime) -> None:
    services.pause_chasing(revision_id=sent.revision.pk, by=None, at=at)


def not_wanted(sent: SentWorld, at: datetime) -> None:
    Customer.objects.filter(pk=sent.world.job.customer_id).update(only_needed=True)


def link_taken_back(sent: SentWorld, at: datetime) -> None:
    answers.withdraw_links(revision_id=sent.revision.pk, by=None, at=at)


STOPS = [answered, declined, replaced, lost, paused, not_wanted, link_taken_back]


@pytest.mark.parametrize("stop", STOPS)
def test_it_stops_by_itself(stop: Callable[[SentWorld, datetime], None], at: datetime) -> None:
    sent = make_sent()

    stop(sent, at)

    assert due(at + MONDAY) == []
    assert services.chase(revision_id=sent.revision.pk, at=at + MONDAY) is None


@pytest.mark.parametrize("stop", STOPS)
def test_an_answer_between_writing_and_sending_holds_it_back(
    stop: Callable[[SentWorld, datetime], None], at: datetime, tmp_path: Any
) -> None:
    sent, monday = make_sent(), at + MONDAY
    message = services.chase(revision_id=sent.revision.pk, at=monday)
    assert message is not None

    stop(sent, monday)
    gone = send_message(message_id=message.pk, at=monday)

    fresh = Message.objects.get(pk=message.pk)
    assert (gone, fresh.state) == (False, "dropped")
    assert fresh.last_error
    # A person who fetches it back cannot send it either.
    send_again(message_id=message.pk, by=None, at=monday)
    assert not send_message(message_id=message.pk, at=monday)


def test_without_an_answer_it_is_sent(at: datetime) -> None:
    sent, monday = make_sent(), at + MONDAY
    message = services.chase(revision_id=sent.revision.pk, at=monday)
    assert message is not None

    assert send_message(message_id=message.pk, at=monday)
    watch, found = queries.reminders_of(sent.revision, monday)
    assert [(r.step.code, r.state) for r in found][:2] == [("d3", "to come"), ("d7", "to come")]
    services.keep_plans(at=monday)
    watch, found = queries.reminders_of(sent.revision, monday)
    assert watch is not None
    assert [(r.step.code, r.state) for r in found] == [
        ("d3", "sent"), ("d7", "to come"), ("d14", "to come"), ("last", "to come"),
    ]  # fmt: skip


def test_one_that_was_passed_over_for_a_newer_is_left_out(at: datetime) -> None:
    # Sent on a Wednesday: the third day is a Saturday, so the first falls two days before the next.
    sent = make_sent(at=at - timedelta(days=1))
    _, steps = queries.reminders_of(sent.revision, at)
    both = steps[1].step.at + timedelta(minutes=1)
    assert both - steps[0].step.at < STALE

    assert services.chase(revision_id=sent.revision.pk, at=both) is not None

    services.keep_plans(at=both)
    _, found = queries.reminders_of(sent.revision, both)
    assert [(r.step.code, r.state) for r in found][:3] == [
        ("d3", "left out"), ("d7", "waiting"), ("d14", "to come"),
    ]  # fmt: skip


def test_what_fell_into_a_pause_is_not_sent_after_it(at: datetime, office: Any) -> None:
    sent = make_sent()
    services.pause_chasing(revision_id=sent.revision.pk, by=office, at=at)
    services.resume_chasing(
        revision_id=sent.revision.pk, by=office, at=at + MONDAY + timedelta(hours=1)
    )

    assert due(at + MONDAY + timedelta(hours=2)) == []
    assert due(at + timedelta(days=7, hours=1)) == [sent.revision.pk]


def test_the_look_for_reminders_is_two_queries(
    at: datetime, django_assert_num_queries: Any
) -> None:
    make_sent()
    monday = at + MONDAY
    from jobs.calendar.queries import firm_calendar

    calendar = firm_calendar()
    with django_assert_num_queries(2):
        assert len(queries.to_chase(monday, calendar)) == 1
    make_sent()
    make_sent()
    with django_assert_num_queries(2):
        assert len(queries.to_chase(monday, calendar)) == 3


def test_prices_that_rose_are_found_once_a_day_and_shown_today(
    at: datetime, owner: Any, office: Any, django_assert_num_queries: Any
) -> None:
    sent = make_sent()
    world, later = sent.world, at + timedelta(days=2)
    assert services.check_prices(revision_id=sent.revision.pk, at=later).rise is None
    make_price(world.supplier, world.kit, "50.00", valid_from=date(2026, 5, 15))

    assert queries.to_check(date(2026, 5, 17)) == [sent.revision.pk]
    watch = services.check_prices(revision_id=sent.revision.pk, at=later)

    # Eight kits at £7.50 more each.
    assert watch.rise == Decimal("60.00")
    assert queries.to_check(later.date()) == []
    owner.has_perm("jobs.see_margin")
    with django_assert_num_queries(1):
        entries = list(panels.prices_rose(owner, later))
    assert "£60.00" in entries[0].why
    assert "prices rose since quote Q-2026-0001 was sent" in entries[0].title
    assert "£60.00" not in next(iter(panels.prices_rose(office, later))).why
    declined(sent, later)
    assert list(panels.prices_rose(owner, later)) == []


def test_one_press_prices_it_again_as_a_new_revision(
    at: datetime, office: Any, client_for: Callable[[Any], Client]
) -> None:
    sent = make_sent()
    world = sent.world
    make_price(world.supplier, world.kit, "50.00", valid_from=date(2026, 5, 15))
    Revision.objects.filter(pk=sent.revision.pk).update(valid_until="2999-01-01")
    services.check_prices(revision_id=sent.revision.pk, at=at + timedelta(days=2))
    client = client_for(office)
    page = client.get(f"/quotes/{sent.revision.pk}/").content.decode()
    assert "Price it again as a new revision" in page
    assert "Stop reminding" in page

    response = client.post(f"/chasing/{sent.revision.pk}/renew/")

    new = Revision.objects.get(number=2)
    assert response["Location"] == f"/quotes/{new.pk}/"
    assert (new.state, new.direct - sent.revision.direct) == ("draft", Decimal("60.00"))
    assert Revision.objects.get(pk=sent.revision.pk).state == "sent"


def test_the_sweeps_note_their_runs() -> None:
    sent = make_sent()
    Revision.objects.filter(pk=sent.revision.pk).update(valid_until="2999-01-01")

    tasks.sweep()
    tasks.prices()

    assert "reminded" in TaskRun.objects.get(name="quotes.chasing.sweep").outcome
    assert TaskRun.objects.get(name="quotes.chasing.prices").outcome.startswith("1 looked at")
    assert Watch.objects.get().checked_on is not None
