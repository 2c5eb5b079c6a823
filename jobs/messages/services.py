"""Writing to customers: one press, one row in the outbox; and the firm's own words."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db import transaction

from jobs.audit.services import post_event
from jobs.calendar.enums import Phase
from jobs.calendar.models import Booking
from jobs.calendar.services import post_told
from jobs.kernel.clock import london_day
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction, claim_key, finish_key
from jobs.kernel.templatetags.firm import day, day_year
from jobs.messages import queries, rules
from jobs.messages.enums import Kind
from jobs.messages.models import CustomerMessage, Wording
from jobs.messages.rules import Details
from jobs.outbox.enums import Audience, Channel, MessageState
from jobs.outbox.rules import MOST_SEGMENTS, length_of, plain_text
from jobs.outbox.services import post_blanked, post_message
from jobs.work.enums import Stage
from jobs.work.models import Job

LONGEST_BODY = 4000


@transaction.atomic(durable=True)
def write_to_customer(
    *,
    job_id: int,
    kind: str,
    channel: str,
    to: str,
    subject: str,
    body: str,
    details: Details,
    needed: bool = False,
    key: UUID,
    by: Any,
    at: datetime,
) -> CustomerMessage:
    """Put one message to a job's customer into the outbox; the same key again returns it.

    Refused at its field: an address that is not the customer's, words with something left to fill
    in, a day or time that was lost from them, a time shorter than the kit's record, the same words
    a second time. A telling message locks its days once it has left, and is kept back if they
    change before.
    """
    # long because: what a person chose, then one write: refused, posted, kept, told
    inputs = {"job": job_id, "kind": kind, "channel": channel, "to": to, "subject": subject,
              "body": body, "details": details.as_json()}  # fmt: skip
    done = claim_key(key=key, kind="write_to_customer", inputs=inputs, at=at)
    if done is not None:
        return CustomerMessage.objects.get(pk=done.result or 0)
    job = _locked_job(job_id)
    needed = needed or kind in Kind.NEEDED
    _refuse_addressee(job, kind, channel, to, needed)
    subject, body = _tidied(Kind(kind), channel, subject, body)
    bookings = _bookings_of(job, kind, details, london_day(at))
    _check_facts(job, kind, body, details, bookings)
    _refuse_twice(job, kind, channel, to, body)
    message = post_message(
        occasion=rules.occasion_of(key), audience=Audience.CUSTOMER, channel=channel, to=to,
        subject=subject, body=body, about=job, at=at,
    )  # fmt: skip
    row = CustomerMessage.objects.create(
        job=job, kind=kind, message=message, needed=needed, details=details.as_json(),
        told=queries.as_told(bookings), written_at=at, written_by=by,
    )  # fmt: skip
    after = {"kind": kind, "channel": channel}
    post_event(verb="write_to_customer", subject=job, by=by, at=at, after=after)
    finish_key(key=key, result=row.pk)
    return row


def _locked_job(job_id: int) -> Job:
    """Lock the job: two people who write at once see each other's words."""
    rows = Job.objects.select_related("customer", "site")
    job: Job = rows.select_for_update(no_key=True, of=("self",)).get(pk=job_id)
    return job


def _refuse_addressee(job: Job, kind: str, channel: str, to: str, needed: bool) -> None:
    if kind != Kind.FREE and job.stage in {Stage.LOST, Stage.CANCELLED}:
        raise ServiceError(f"This job was {job.get_stage_display()}; only free words can go.")
    if channel == Channel.TEXT and (why := queries.why_no_texts(job.customer)):
        raise ServiceError(why, field="channel")
    if to not in {address for address, _name in queries.recipients(job.customer, channel)}:
        raise ServiceError(
            "Choose one of the customer's own addresses; it may have changed since you opened "
            "this page.",
            field="to",
        )
    if job.customer.only_needed and not needed:
        raise ServiceError(
            "This customer wants no messages but what the work needs. Say so if it needs this one.",
            field="needed",
        )


def _tidied(kind: Kind, channel: str, subject: str, body: str) -> tuple[str, str]:
    """Return head and words as they go; refuses what cannot go."""
    body = body.replace("\r\n", "\n").strip() + "\n"
    rules.refuse_gaps(body, field="body")
    if channel == Channel.TEXT:
        body = plain_text(body)
        if length_of(body).segments > MOST_SEGMENTS:
            raise ServiceError(
                f"That is {length_of(body).words}. A text message has at most {MOST_SEGMENTS}.",
                field="body",
            )
        subject = str(kind.label).capitalize()
    rules.refuse_gaps(subject, field="subject")
    if not subject.strip():
        raise ServiceError("Say in a few words what it is about.", field="subject")
    if not body.strip():
        raise ServiceError("Write what the customer is to know.", field="body")
    if len(body) > LONGEST_BODY:
        raise ServiceError(f"At most {LONGEST_BODY} characters.", field="body")
    return " ".join(subject.split())[:200], body


def _bookings_of(job: Job, kind: str, details: Details, on: date) -> list[Booking]:
    """Return the bookings whose days the message says; a telling one needs some."""
    if kind not in Kind.DATED:
        return []
    found = queries.booked(job, on, details.booking)
    if kind == Kind.CAR:
        found = [row for row in found if row.phase == Phase.LAY]
    elif not found:
        raise ServiceError("Nothing is booked from today on. Book the days first, then say them.")
    return found


def _check_facts(
    job: Job, kind: str, body: str, details: Details, bookings: Sequence[Booking]
) -> None:
    """Refuse words that lost what their kind is there to say, or say less than is safe."""
    if kind in Kind.TELLING:
        rules.check_still_says(body, [day(one) for one, _ in queries.day_lines(bookings)])
    if kind in {Kind.CHANGED, Kind.RAIN} and details.old_first is None:
        raise ServiceError("Say which day no longer holds.", field="old_first")
    if kind == Kind.CAR:
        last = max((row.last_day for row in bookings if row.last_day), default=None)
        rules.check_car(details, last, queries.surface_floor(job))
        rules.check_still_says(body, [day(details.car_from), day(details.car_until)])
    if kind == Kind.KEEP_OFF:
        rules.check_times(details, queries.surface_floor(job))
        rules.check_still_says_times(body, details)


def _refuse_twice(job: Job, kind: str, channel: str, to: str, body: str) -> None:
    """Refuse the same words to the same address again, whoever wrote them first."""
    same = (
        CustomerMessage.objects.filter(
            job=job, kind=kind, message__channel=channel, message__to=to, message__body=body
        )
        .exclude(message__state=MessageState.DROPPED)
        .select_related("message")
        .first()
    )
    if same is None:
        return
    written = day_year(same.written_at)
    if same.message.state == MessageState.FAILED:
        raise ServiceError(
            f"The same words failed on {written}. Send that message again from the job's page."
        )
    raise ServiceError(
        f"The same words were written to this address on {written}. Change them if they are meant "
        "anew.",
        field="body",
    )


def post_sent_message(*, occasion: str, at: datetime) -> None:
    """Note in the calendar that the days of a message which has left were told."""
    assert_in_transaction()
    ids, by = queries.booking_ids_told(occasion)
    if ids:
        post_told(booking_ids=ids, by=by, at=at)


# -- the firm's own words ----------------------------------------------------------------------


@transaction.atomic(durable=True)
def save_wording(
    *, kind: str, channel: str, valid_from: date, subject: str, body: str, by: Any, at: datetime
) -> Wording:
    """Keep the firm's words for a kind and channel from a day on; earlier ones stay as they were.

    A day of today or later may be written over; a placeholder that the kind does not know is
    refused with the list of those it does.
    """
    if valid_from < london_day(at):
        raise ServiceError("From today on, or from a later day.", field="valid_from")
    subject, body = " ".join(subject.split()), body.replace("\r\n", "\n").strip() + "\n"
    if channel == Channel.TEXT:
        subject, body = "", plain_text(body)
    elif not subject:
        raise ServiceError("Give the e-mail a head.", field="subject")
    rules.check_wording(subject, kind, field="subject")
    rules.check_wording(body, kind, field="body")
    rules.check_says_it(body, kind)
    row: Wording
    row, _ = Wording.objects.select_for_update(no_key=True).update_or_create(
        kind=kind, channel=channel, valid_from=valid_from,
        defaults={"subject": subject[:200], "body": body, "written_at": at, "written_by": by},
    )  # fmt: skip
    row.full_clean()
    after = {"kind": kind, "channel": channel, "valid_from": valid_from}
    post_event(verb="save_wording", subject=row, by=by, at=at, after=after)
    return row


@transaction.atomic(durable=True)
def remove_wording(*, wording_id: int, by: Any, at: datetime) -> None:
    """Take back words that do not hold yet, or hold since today; what held before stays."""
    row = Wording.objects.select_for_update(no_key=True).get(pk=wording_id)
    if row.valid_from < london_day(at):
        raise ServiceError("These words held already and stay as a record; write new ones.")
    post_event(
        verb="remove_wording", subject=row, by=by, at=at,
        before={"kind": row.kind, "channel": row.channel, "valid_from": row.valid_from},
    )  # fmt: skip
    row.delete()


# -- personal data -----------------------------------------------------------------------------


def post_erasure(customer_id: int) -> list[str]:
    """Blank the words and addresses of all messages about a customer's jobs."""
    jobs = list(Job.objects.filter(customer_id=customer_id).values_list("pk", flat=True))
    count = post_blanked(about_type=Job._meta.label_lower, about_ids=jobs)
    if not count:
        return []
    several = "one message" if count == 1 else f"{count} messages"
    return [f"Kept: when {several} about the jobs went, without words and address."]
