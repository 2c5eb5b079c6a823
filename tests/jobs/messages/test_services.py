"""Writing to customers through a real mail server: once, true, and never against their wish.

Long because: each kind and each refusal has a short test of its own.
"""

from __future__ import annotations

import email
import email.policy
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest

from jobs.audit.models import Event
from jobs.calendar.models import Booking
from jobs.calendar.rules import half_days
from jobs.calendar.services import cancel_booking, move_booking
from jobs.customers.services import erase_customer, give_out_data
from jobs.kernel.errors import ServiceError
from jobs.messages import queries, services
from jobs.messages.models import CustomerMessage, Wording
from jobs.messages.rules import Details
from jobs.outbox.models import Message
from jobs.outbox.services import send_again, send_message
from tests.factories import DAY, make_booking, make_job, make_kit, make_requirement
from tests.jobs.messages.world import TUESDAY, make_told_job, send
from tests.jobs.outbox.gateway import gateway_server
from tests.jobs.outbox.servers import mail_server

pytestmark = pytest.mark.django_db
WEDNESDAY = TUESDAY + timedelta(days=1)


@pytest.fixture
def texts(settings: Any) -> Any:
    with gateway_server() as taken:
        settings.TEXT_GATEWAY = "http"
        settings.TEXT_GATEWAY_URL = f"http://127.0.0.1:{taken.port}/"
        yield taken


def refused(job: Any, kind: str, field: str | None, match: str, **more: Any) -> None:
    with pytest.raises(ServiceError, match=match) as refusal:
        send(job, kind, **more)
    assert refusal.value.field == field
    assert not CustomerMessage.objects.exists()
    assert not Message.objects.exists()


def move(booking: Booking, day: Any, by: Any, at: datetime) -> None:
    booking.refresh_from_db()
    slot = booking.slots.first()
    assert slot is not None
    move_booking(
        booking_id=booking.pk, version=booking.version, resource_ids=[slot.resource_id],
        when=half_days(day, day), by=by, at=at,
    )  # fmt: skip


# -- it goes, and its days are told ------------------------------------------------------------


def test_dates_reach_the_customer_and_are_told_once_they_have_left(
    settings: Any, tmp_path: Path, office: Any, at: datetime
) -> None:
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_USE_TLS, settings.EMAIL_TIMEOUT = "127.0.0.1", False, 5
    job = make_told_job()
    row = send(job, "dates", by=office)
    booking = job.bookings.get()
    assert not booking.told_customer_at
    with mail_server("accepts", tmp_path / "taken") as settings.EMAIL_PORT:
        later = at + timedelta(minutes=1)
        assert send_message(message_id=row.message_id, at=later) is True
    [path] = list((tmp_path / "taken").iterdir())
    mail = email.message_from_bytes(path.read_bytes(), policy=email.policy.default)
    assert mail["To"] == job.customer.email
    assert "Tue 19 May 2026, laying, all day" in mail.get_content()
    booking.refresh_from_db()
    assert booking.told_customer_at == later
    assert booking.version == 2
    assert Event.objects.get(verb="tell_customer").by == office
    written = Event.objects.get(verb="write_to_customer")
    assert (written.subject_id, written.after) == (job.pk, {"kind": "dates", "channel": "mail"})


@pytest.mark.parametrize("kind", ["car", "keep_off", "free"])
def test_other_kinds_lock_no_day(kind: str, at: datetime) -> None:
    job = make_told_job()
    row = send(job, kind)
    assert send_message(message_id=row.message_id, at=at) is True
    assert job.bookings.get().told_customer_at is None


def test_a_failed_message_tells_nothing_and_goes_again(settings: Any, at: datetime) -> None:
    settings.EMAIL_BACKEND = "jobs.outbox.filemail.EmailBackend"
    job = make_told_job()
    row = send(job, "dates")
    Message.objects.update(attachments=[str(uuid4())])  # cannot be written
    assert send_message(message_id=row.message_id, at=at) is False
    assert job.bookings.get().told_customer_at is None
    with pytest.raises(ServiceError, match="failed on Thu 14 May 2026"):
        send(job, "dates")
    Message.objects.update(attachments=[])
    send_again(message_id=row.message_id, by=None, at=at)
    assert send_message(message_id=row.message_id, at=at) is True
    assert job.bookings.get().told_customer_at == at


@pytest.mark.parametrize("how", ["moved", "cancelled"])
def test_days_that_changed_before_it_left_are_not_told(how: str, owner: Any, at: datetime) -> None:
    job = make_told_job()
    row = send(job, "dates")
    booking = job.bookings.get()
    if how == "moved":
        move(booking, WEDNESDAY, owner, at)
    else:
        cancel_booking(booking_id=booking.pk, version=1, reason="rain", by=owner, at=at)
    assert send_message(message_id=row.message_id, at=at) is False
    row.message.refresh_from_db()
    assert row.message.state == "dropped"
    assert "The days changed" in row.message.last_error


def test_rain_says_the_day_that_was_given_up_and_the_new_one(owner: Any, at: datetime) -> None:
    job = make_told_job()
    move(job.bookings.get(), WEDNESDAY, owner, at)
    details = queries.default_details(job, "rain", DAY)
    assert (details.old_first, details.old_last) == (TUESDAY, TUESDAY)
    body = send(job, "rain").message.body
    assert "we do not lay" in body
    assert "on Tue 19 May 2026." in body
    assert "Wed 20 May 2026, laying, all day" in body


def test_a_message_from_a_booking_says_its_days_only(at: datetime) -> None:
    job = make_told_job()
    snag = make_booking(job, phase="snag", day=WEDNESDAY)
    row = send(job, "dates", details=Details(booking=snag.pk))
    assert "putting right" in row.message.body
    assert "laying, all day" not in row.message.body
    send_message(message_id=row.message_id, at=at)
    told = dict(job.bookings.values_list("phase", "told_customer_at"))
    assert told == {"snag": at, "lay": None}


# -- what is refused ---------------------------------------------------------------------------


def test_the_same_words_do_not_go_twice(at: datetime) -> None:
    job = make_told_job()
    key = uuid4()
    first = send(job, "car", key=key)
    assert send(job, "car", key=key) == first  # the same press
    with pytest.raises(ServiceError, match="Change them if they are meant anew"):
        send(job, "car")
    assert send(job, "car", body=first.message.body + "\nAs we said on the telephone.")
    assert Message.objects.count() == 2


def test_only_the_customers_own_addresses_are_written_to() -> None:
    refused(make_told_job(), "free", "to", "own addresses", to="thief@bad.example")


def test_a_contact_may_be_written_to(at: datetime) -> None:
    job = make_told_job()
    job.customer.contacts.create(name="Site office", email="site@home.example")
    job.customer.contacts.create(name="Gone", email="gone@home.example", archived_at=at)
    assert [to for to, _ in queries.recipients(job.customer, "mail")] == [
        job.customer.email, "site@home.example",
    ]  # fmt: skip
    assert send(job, "free", to="site@home.example").message.to == "site@home.example"


def test_dates_want_a_booking_from_today_on() -> None:
    job = make_job(stage="won")
    make_booking(job, day=DAY - timedelta(days=1))
    refused(job, "dates", None, "Nothing is booked from today on", body="We come.")


def test_a_day_that_was_edited_away_is_missed() -> None:
    refused(make_told_job(), "dates", "body", "'Tue 19 May'", body="We come on Wed 20 May 2026.")


def test_a_time_shorter_than_the_kits_record_never_goes() -> None:
    job = make_told_job()
    floor = queries.surface_floor(job)
    assert (floor.foot, floor.vehicles, floor.names) == (12, 48, ("Kit 7",))
    short = Details(laid_on=DAY, foot_hours=12, vehicle_hours=24)
    refused(job, "keep_off", "vehicle_hours", "at least 48 hours", details=short)
    body = send(job, "keep_off").message.body
    assert "12 hours" in body
    assert "48 hours" in body


def test_the_longest_of_several_kits_counts_and_a_gap_is_said() -> None:
    job = make_told_job()
    make_requirement(job, make_kit(name="Kit 9", foot_min_20c=24 * 60), 2)
    floor = queries.surface_floor(job)
    assert (floor.foot, floor.vehicles, floor.complete) == (24, 48, False)
    assert "A time is missing in the record of" in floor.words


def test_without_a_record_the_times_are_typed() -> None:
    job = make_told_job(kit=False)
    refused(job, "keep_off", "body", "fill in")
    details = Details(laid_on=DAY, foot_hours=8, vehicle_hours=24)
    assert "8 hours" in send(job, "keep_off", details=details).message.body


def test_a_closed_job_takes_free_words_only() -> None:
    job = make_told_job()
    job.stage = "cancelled"
    job.save()
    refused(job, "dates", None, "only free words")
    assert send(job, "free")


# -- what the customer wants -------------------------------------------------------------------


def test_who_wants_only_what_the_work_needs_gets_only_that(at: datetime) -> None:
    job = make_told_job(only_needed=True)
    refused(job, "free", "needed", "Say so if it needs this one")
    assert send(job, "free", needed=True).needed
    assert send(job, "car").needed


def test_a_wish_that_came_after_the_writing_is_kept(at: datetime) -> None:
    job = make_told_job()
    row = send(job, "free")
    job.customer.only_needed = True
    job.customer.save()
    assert send_message(message_id=row.message_id, at=at) is False
    row.message.refresh_from_db()
    assert (row.message.state, row.message.get_state_display()) == ("dropped", "kept back")


@pytest.mark.parametrize(
    ("customer", "on", "why"),
    [({"texts_agreed": True}, False, "no gateway"), ({}, True, "not said yes"),
     ({"texts_agreed": True, "phone": "01632 960123"}, True, "no UK mobile")],
)  # fmt: skip
def test_a_text_wants_a_gateway_a_yes_and_a_mobile_number(
    customer: dict[str, Any], on: bool, why: str, settings: Any
) -> None:
    settings.TEXT_GATEWAY = "file" if on else ""
    refused(make_told_job(**customer), "car", "channel", why, channel="text")


def test_a_text_goes_plain_and_short(texts: Any, at: datetime) -> None:
    job = make_told_job(texts_agreed=True)
    row = send(job, "dates", channel="text")
    assert send_message(message_id=row.message_id, at=at) is True
    [text] = texts.texts
    assert text["to"] == "+447700900123"
    assert "Tue 19 May, laying, all day" in text["text"]
    assert row.message.subject == "Your dates"
    assert job.bookings.get().told_customer_at == at
    long = "We come on Tue 19 May. " + "x" * 800
    with pytest.raises(ServiceError, match="at most 5"):
        send(job, "dates", channel="text", body=long)


def test_a_yes_that_was_taken_back_keeps_the_text(texts: Any, at: datetime) -> None:
    job = make_told_job(texts_agreed=True)
    row = send(job, "car", channel="text")
    job.customer.texts_agreed = False
    job.customer.save()
    assert send_message(message_id=row.message_id, at=at) is False
    assert texts.texts == []


# -- the firm's own words ----------------------------------------------------------------------


def save(at: datetime, **more: Any) -> Wording:
    values: dict[str, Any] = {
        "kind": "dates", "channel": "mail", "valid_from": DAY, "subject": "{job}",
        "body": "Hello {customer}, {days}", "by": None, "at": at,
    }  # fmt: skip
    return services.save_wording(**values | more)


def test_words_hold_from_their_day_and_earlier_ones_stay(at: datetime) -> None:
    job = make_told_job()
    save(at, valid_from=DAY, body="Today {days}")
    save(at, valid_from=DAY + timedelta(days=2), body="Later {days}")
    bodies = [
        queries.words_on("dates", "mail", DAY + timedelta(days=n)).body for n in (-1, 0, 1, 2)
    ]
    assert [body.split()[0] for body in bodies] == ["Dear", "Today", "Today", "Later"]
    assert send(job, "dates").message.body == "Today Tue 19 May 2026, laying, all day\n"
    assert save(at, body="Again {days}").pk == Wording.objects.get(valid_from=DAY).pk
    with pytest.raises(ServiceError, match="From today on"):
        save(at, valid_from=DAY - timedelta(days=1))


def test_words_that_held_already_are_not_taken_back(at: datetime) -> None:
    row = save(at)
    with pytest.raises(ServiceError, match="held already"):
        services.remove_wording(wording_id=row.pk, by=None, at=at + timedelta(days=1))
    services.remove_wording(wording_id=row.pk, by=None, at=at)
    assert not Wording.objects.exists()


# -- personal data -----------------------------------------------------------------------------


def test_a_person_gets_and_loses_what_was_written(owner: Any, at: datetime) -> None:
    job = make_told_job()
    row = send(job, "dates")
    other = send(make_told_job(), "dates")
    given = give_out_data(customer_id=job.customer_id, by=owner, at=at)["rooms"]["messages"]
    assert [one["body"] for one in given["messages"]] == [row.message.body]
    cancel_booking(booking_id=job.bookings.get().pk, version=1, reason="x", by=owner, at=at)
    job.stage = "cancelled"
    job.save()
    kept = erase_customer(customer_id=job.customer_id, by=owner, at=at, reason="asked")
    assert any("one message" in sentence for sentence in kept)
    row.message.refresh_from_db()
    other.message.refresh_from_db()
    assert (row.message.to, row.message.body, row.message.state) == ("", "", "dropped")
    assert other.message.to
    with pytest.raises(ServiceError):
        send_again(message_id=row.message_id, by=owner, at=at)
