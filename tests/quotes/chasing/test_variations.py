"""Reminders of variations: one a step, none once answered, withdrawn, replaced or stopped."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any
from unittest.mock import patch

import pytest
from django.test import Client

from jobs.calendar.queries import firm_calendar
from jobs.customers.models import Customer
from jobs.kernel.models import TaskRun
from jobs.outbox.models import Message
from jobs.outbox.services import send_message
from jobs.work.services import cancel_job
from quotes.chasing import queries, services, tasks
from quotes.variations import services as variations
from quotes.variations.models import Variation, VariationLink
from quotes.variations.queries import open_link
from tests.quotes.variations.world import make_agreed, make_out

pytestmark = pytest.mark.django_db
Made = tuple[Variation, str]
# d3 of a variation sent Thursday 14 May falls on Monday 18 May, ten o'clock.
MONDAY = timedelta(days=4, hours=1)


def due(at: datetime) -> list[int]:
    return queries.variations_to_chase(at, firm_calendar())


def test_a_reminder_goes_once_a_step_with_a_link_of_its_own(at: datetime) -> None:
    variation, token = make_out()
    monday = at + MONDAY
    assert due(monday - timedelta(seconds=1)) == []
    assert due(monday) == [variation.pk]

    message = services.chase_variation(variation_id=variation.pk, at=monday)
    again = services.chase_variation(variation_id=variation.pk, at=monday + timedelta(minutes=5))

    assert message is not None
    assert again is None
    assert due(monday + timedelta(minutes=5)) == []
    assert (message.to, message.audience) == ("home@customer.example", "customer")
    assert "V1 to your quote" in message.body
    assert "by +£120.00 with VAT" in message.body
    own = message.body.split("/variations/answer/")[1].split("/")[0]
    for key in (own, token):
        found = open_link(key, monday)
        assert found is not None
        assert found.shut == ""
    # It holds until Thu 28 May: after seven days, then on the Tuesday before its last day.
    steps = [step.code for step in queries.planned_for(variation, firm_calendar())]
    assert (variation.valid_until, steps) == (date(2026, 5, 28), ["d3", "d7", "last"])
    assert due(at + timedelta(days=7, hours=1)) == [variation.pk]


def test_nobody_is_written_to_out_of_hours_or_before_it_was_mailed(at: datetime) -> None:
    variation, _ = make_out()
    night = at + MONDAY + timedelta(hours=10)
    assert services.chase_variation(variation_id=variation.pk, at=night) is None
    VariationLink.objects.all().delete()

    assert due(at + MONDAY) == []
    assert services.chase_variation(variation_id=variation.pk, at=at + MONDAY) is None


def accepted(made: Made, at: datetime) -> None:
    variations.accept(
        token=made[1], name="A", consents={"terms": True}, network_address=None, user_agent="",
        at=at,
    )  # fmt: skip


def declined(made: Made, at: datetime) -> None:
    variations.decline(token=made[1], reason="Too dear", at=at)


def withdrawn(made: Made, at: datetime) -> None:
    variations.withdraw_variation(variation_id=made[0].pk, by=None, at=at)


def replaced(made: Made, at: datetime) -> None:
    new = variations.revise_variation(variation_id=made[0].pk, by=None, at=at)
    variations.send_variation(variation_id=new.pk, to="home@customer.example", by=None, at=at)


def job_over(made: Made, at: datetime) -> None:
    cancel_job(job_id=made[0].revision.quote.job_id, note="Sold the house", by=None, at=at)


def paused(made: Made, at: datetime) -> None:
    services.pause_variation(variation_id=made[0].pk, by=None, at=at)


def not_wanted(made: Made, at: datetime) -> None:
    Customer.objects.filter(pk=made[0].revision.quote.job.customer_id).update(only_needed=True)


@pytest.mark.parametrize(
    "stop", [accepted, declined, withdrawn, replaced, job_over, paused, not_wanted]
)
def test_it_stops_by_itself_even_between_writing_and_sending(
    stop: Callable[[Made, datetime], None], at: datetime
) -> None:
    made, monday = make_out(), at + MONDAY
    message = services.chase_variation(variation_id=made[0].pk, at=monday)
    assert message is not None

    stop(made, monday)

    assert not send_message(message_id=message.pk, at=monday)
    fresh = Message.objects.get(pk=message.pk)
    assert (fresh.state, fresh.last_error != "") == ("dropped", True)
    later = at + timedelta(days=7, hours=1)
    assert made[0].pk not in due(later)
    assert services.chase_variation(variation_id=made[0].pk, at=later) is None


def test_what_fell_into_a_pause_is_not_sent_after_it(
    at: datetime, office: Any, client_for: Callable[[Any], Client]
) -> None:
    variation, _ = make_out()
    client = client_for(office)
    page = variation.get_absolute_url()
    assert "Stop reminding" in client.get(page).content.decode()

    client.post(f"/chasing/variation/{variation.pk}/pause/")
    assert "Remind again" in client.get(page).content.decode()
    services.resume_variation(
        variation_id=variation.pk, by=office, at=at + MONDAY + timedelta(hours=1)
    )

    assert due(at + MONDAY + timedelta(hours=2)) == []
    assert due(at + timedelta(days=7, hours=1)) == [variation.pk]


def test_the_look_for_reminders_is_two_queries(
    at: datetime, django_assert_num_queries: Any
) -> None:
    calendar, agreed = firm_calendar(), make_agreed()
    for count in (1, 3):
        while Variation.objects.count() < count:
            make_out(agreed)
        with django_assert_num_queries(2):
            assert len(queries.variations_to_chase(at + MONDAY, calendar)) == count


def test_the_sweep_writes_it_and_the_page_says_so(
    at: datetime, office: Any, client_for: Callable[[Any], Client]
) -> None:
    variation, _ = make_out()

    with patch("quotes.chasing.tasks.now", lambda: at + MONDAY):
        tasks.sweep()
        tasks.sweep()

    message = Message.objects.get(occasion=f"chase-variation:{variation.pk}:d3")
    assert send_message(message_id=message.pk, at=at + MONDAY)
    watch, found = queries.variation_reminders(variation, at + MONDAY)
    assert watch is not None
    assert [(each.step.code, each.state) for each in found] == [
        ("d3", "sent"), ("d7", "to come"), ("last", "to come"),
    ]  # fmt: skip
    outcomes = list(TaskRun.objects.order_by("pk").values_list("outcome", flat=True))
    assert outcomes == ["1 reminded", "0 reminded"]
    page = client_for(office).get(variation.get_absolute_url()).content.decode()
    assert "Reminders" in page
    assert variation.gross == Decimal("120.00")
