"""Days that an accepted variation adds wait until the booking follows, or somebody says why not."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from jobs.audit.models import Event
from jobs.calendar.models import Booking
from jobs.calendar.rules import half_days
from jobs.calendar.services import move_booking
from jobs.kernel.errors import ServiceError
from jobs.today.queries import entries_for
from quotes.variations import queries, services
from quotes.variations.checks import may_cancel_change
from quotes.variations.models import Variation
from tests.factories import make_booking
from tests.quotes.variations.test_services import accept, link_to, send
from tests.quotes.variations.world import AgreedWorld, make_agreed

pytestmark = pytest.mark.django_db
Log = Callable[[Any], Client]
LAID = date(2026, 5, 26)


def accepted(agreed: AgreedWorld, at: datetime, days: int = 1) -> Variation:
    draft = agreed.start()
    services.change_variation(
        variation_id=draft.pk, values={"days_added": days}, by=None, at=at
    )  # fmt: skip
    sent = send(Variation.objects.get(pk=draft.pk))
    accept(link_to(sent), at)
    return Variation.objects.get(pk=sent.pk)


@pytest.fixture
def agreed() -> AgreedWorld:
    return make_agreed()


@pytest.fixture
def booking(agreed: AgreedWorld) -> Booking:
    agreed.world.job.stage = "booked"
    agreed.world.job.save()
    return make_booking(agreed.world.job, day=LAID)


def said(user: Any, at: datetime) -> list[str]:
    return [entry.title for entry in entries_for(user, at) if "Variation V" in entry.title]


def extend(booking: Booking, by: Any, at: datetime) -> None:
    move_booking(
        booking_id=booking.pk, version=Booking.objects.get(pk=booking.pk).version,
        resource_ids=list(booking.slots.values_list("resource_id", flat=True).distinct()),
        when=half_days(LAID, LAID + timedelta(days=1)), by=by, at=at,
    )  # fmt: skip


def test_it_waits_at_job_booking_and_today_until_the_booking_is_extended(
    agreed: AgreedWorld, booking: Booking, office: Any, crew: Any, at: datetime,
    client_for: Log,
) -> None:  # fmt: skip
    words = "Variation V1 adds 1\u00a0day: move the booking, or say that no change is needed"
    accepted(agreed, at)
    pages = (agreed.world.job.get_absolute_url(), booking.get_absolute_url())

    (entry,) = said(office, at)
    assert entry.endswith(words)
    assert said(crew, at) == []  # who books no crews reads it at the booking
    for user in (office, crew):
        for page in pages:
            assert words in client_for(user).get(page).content.decode()

    extend(booking, office, at + timedelta(hours=1))

    assert said(office, at) == []
    for page in pages:
        assert words not in client_for(office).get(page).content.decode()


def test_days_taken_off_wait_too_and_one_move_answers_for_all(
    agreed: AgreedWorld, booking: Booking, office: Any, at: datetime
) -> None:
    accepted(agreed, at)
    accepted(agreed, at, days=-2)
    found = [due.words.split(":")[0] for due in queries.days_to_see_to()]
    assert found == ["Variation V1 adds 1\u00a0day", "Variation V2 takes 2\u00a0days off"]

    extend(booking, office, at)

    assert queries.days_to_see_to() == []


def test_without_days_or_after_the_work_nothing_waits(
    agreed: AgreedWorld, booking: Booking, at: datetime
) -> None:
    variation = accepted(agreed, at)
    Variation.objects.filter(pk=variation.pk).update(days_added=0)
    assert queries.days_to_see_to() == []
    Variation.objects.filter(pk=variation.pk).update(days_added=1)
    job = agreed.world.job
    job.stage = "complete"
    job.save()

    assert queries.days_to_see_to() == []
    with pytest.raises(ServiceError, match="nothing waits"):
        services.settle_days(variation_id=variation.pk, reason="Done", by=None, at=at)


def test_with_nothing_booked_the_job_says_it_and_today_does_not(
    agreed: AgreedWorld, office: Any, at: datetime, client_for: Log
) -> None:
    accepted(agreed, at)

    page = client_for(office).get(agreed.world.job.get_absolute_url()).content.decode()
    assert "adds 1\u00a0day: nothing is booked yet, so book the days with it" in page
    assert said(office, at) == []
    make_booking(agreed.world.job, day=LAID)
    assert queries.days_to_see_to() == []


def test_no_change_is_said_with_a_reason_and_taken_back(
    agreed: AgreedWorld, booking: Booking, office: Any, at: datetime, client_for: Log
) -> None:
    variation, client = accepted(agreed, at), client_for(office)
    url = reverse("variations:days", args=[variation.pk])
    assert reverse("calendar:move", args=[booking.pk]) in client.get(url).content.decode()
    assert client.post(url, {"reason": " "}).status_code == 422

    done = client.post(url, {"reason": "Two more hands come along"})

    assert done["Location"] == variation.get_absolute_url()
    assert said(office, at) == []
    page = client.get(variation.get_absolute_url()).content.decode()
    assert "No change of the booking was needed: Two more hands come along" in page
    event = Event.objects.get(verb="no change of days")
    assert (event.by, event.reason) == (office, "Two more hands come along")

    client.post(reverse("variations:days_again", args=[variation.pk]))

    assert len(said(office, at)) == 1
    assert Event.objects.get(verb="days wait again").before == {"why": "Two more hands come along"}


def test_the_look_for_days_is_two_queries(at: datetime, django_assert_num_queries: Any) -> None:
    for count in (1, 3):
        while len(queries.days_to_see_to()) < count:
            agreed = make_agreed()
            make_booking(agreed.world.job, day=LAID)
            accepted(agreed, at)
        with django_assert_num_queries(2):
            assert len(queries.days_to_see_to()) == count


def test_a_booking_inside_the_time_to_cancel_a_change_is_told_of(
    agreed: AgreedWorld, at: datetime, django_assert_num_queries: Any
) -> None:
    """Signed Thu 14 May 2026: the fourteenth day after is Thu 28 May.

    Consumer Contracts Regulations 2013, regulation 30 (memory).
    """
    job = agreed.world.job
    days = (date(2026, 5, 13), date(2026, 5, 28), date(2026, 5, 29))
    bookings = [make_booking(job, day=day) for day in days]
    variation = accepted(agreed, at)

    with django_assert_num_queries(1):
        found = may_cancel_change(bookings, at)

    assert [len(found[booking.pk]) for booking in bookings] == [0, 1, 0]
    (finding,) = found[bookings[1].pk]
    assert "may cancel variation V1 until Thu 28 May 2026" in finding.sentence
    assert variation.label == "V1"
    with django_assert_num_queries(1):
        may_cancel_change(bookings[:1], at)


def test_a_change_asked_for_at_once_is_not_held(agreed: AgreedWorld, at: datetime) -> None:
    booking = make_booking(agreed.world.job, day=date(2026, 5, 20))
    draft = agreed.start()
    services.change_variation(variation_id=draft.pk, values={"days_added": 1}, by=None, at=at)
    token = link_to(send(Variation.objects.get(pk=draft.pk)))
    accept(token, at, consents={"terms": True, "begin_early": True})

    assert may_cancel_change([booking], at) == {booking.pk: []}
