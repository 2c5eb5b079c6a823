"""A booking inside the time to cancel is told of; and what is given out of who signed."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from typing import Any

import pytest
from django.test import Client

from jobs.attachments.services import keep_file
from jobs.calendar.models import Booking
from jobs.kernel.errors import ServiceError
from jobs.outbox.models import Message
from quotes.acceptance import queries, services
from quotes.acceptance.checks import may_cancel
from tests.factories import make_booking
from tests.quotes.acceptance.world import YES, SentWorld, make_sent

pytestmark = pytest.mark.django_db
# Accepted Thu 14 May 2026: the fourteenth day after is Thu 28 May.
LAST = date(2026, 5, 28)


def accepted(at: datetime, *, early: bool = False, **fields: Any) -> SentWorld:
    sent = make_sent(**fields)
    services.accept(
        token=sent.token, name="A. Householder", consents=YES | {"begin_early": early}, options=[],
        network_address="203.0.113.9", user_agent="A telephone", at=at,
    )  # fmt: skip
    return sent


def findings(booking: Booking, at: datetime) -> list[str]:
    return [each.sentence for each in may_cancel([booking], at).get(booking.pk, ())]


def test_a_booking_inside_the_time_to_cancel_is_told_of(at: datetime) -> None:
    job = accepted(at).world.job

    assert "may cancel until Thu 28 May 2026" in findings(make_booking(job, day=LAST), at)[0]
    assert findings(make_booking(job, day=date(2026, 5, 29)), at) == []


def test_the_days_to_cancel_count_from_the_day_on_the_paper(at: datetime, office: Any) -> None:
    """Signed Fri 15 May, recorded Wed 20 May: until Fri 29 May, not 3 June.

    Consumer Contracts Regulations 2013, regulation 30 (memory): 14 days after the day of the
    contract; the office's clerk does not move it.
    """
    sent, recorded = make_sent(), at + timedelta(days=6)
    values: dict[str, Any] = {
        "revision_id": sent.revision.pk, "name": "A. Householder", "options": [], "consents": YES,
        "kept": keep_file(data=b"%PDF-1.7 signed", name="signed.pdf"), "by": office, "at": recorded,
    }  # fmt: skip
    for wrong, words in ((date(2026, 5, 13), "sent on Thu 14 May"), (date(2026, 5, 21), "to come")):
        with pytest.raises(ServiceError, match=words) as refused:
            services.record_paper(**values, signed_on=wrong)
        assert refused.value.field == "signed_on"

    done = services.record_paper(**values, signed_on=date(2026, 5, 15))

    assert (done.signed_day, done.at) == (date(2026, 5, 15), recorded)
    job = sent.world.job
    assert queries.may_cancel_until([job.pk]) == {job.pk: date(2026, 5, 29)}
    body = Message.objects.get(occasion=f"accepted:{sent.revision.pk}:customer").body
    assert "on Fri 15 May 2026" in body
    assert "You may cancel until Fri 29 May 2026" in body
    page = Client().get(f"/q/{sent.token}/").content.decode()
    assert "Fri 15 May 2026, on paper" in page
    assert "until Fri 29 May 2026" in page
    (row,) = queries.records_of(job.customer_id)["accepted"]
    assert row["signed_on"] == "2026-05-15"


def test_who_asked_us_to_begin_or_is_no_consumer_is_not_held(at: datetime) -> None:
    early = accepted(at, early=True).world.job
    builder = accepted(at, customer={"kind": "builder", "name": "B. Builders"}).world.job

    assert findings(make_booking(early, day=LAST), at) == []
    assert findings(make_booking(builder, day=LAST), at) == []


def test_it_is_one_query_for_any_number(at: datetime, django_assert_num_queries: Any) -> None:
    bookings = [make_booking(accepted(at).world.job, day=LAST) for _ in range(3)]

    for count in (1, 3):
        with django_assert_num_queries(1):
            assert len(may_cancel(bookings[:count], at)) == count


def test_a_signature_is_given_out_and_kept(at: datetime) -> None:
    customer = accepted(at).world.job.customer_id

    (row,) = queries.records_of(customer)["accepted"]

    assert (row["name"], row["network_address"]) == ("A. Householder", "203.0.113.9")
    assert row["said"] == ["I accept the quote with its terms and what is not in the price."]
    assert "1 accepted quote with name" in queries.kept_of(customer)[0]
    assert queries.kept_of(customer + 1) == []
