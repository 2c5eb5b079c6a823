"""A won job with two days to lay, a customer with a mobile number, and words to send."""

from __future__ import annotations

from datetime import timedelta
from typing import Any
from uuid import uuid4

from jobs.messages.models import CustomerMessage
from jobs.messages.queries import default_details, filled, recipients
from jobs.messages.services import write_to_customer
from jobs.work.models import Job
from tests.factories import (
    AT,
    DAY,
    make_booking,
    make_customer,
    make_job,
    make_kit,
    make_requirement,
    make_site,
)

TUESDAY = DAY + timedelta(days=5)


def make_told_job(*, kit: bool = True, **customer: Any) -> Job:
    """A job that is laid on Tuesday 19 May 2026, with a kit of 12 h and 48 h."""
    fields = {"phone": "07700 900123", **customer}
    job = make_job(make_site(make_customer(**fields)), stage="booked", title="Drive at the mill")
    make_booking(job, day=TUESDAY)
    if kit:
        make_requirement(
            job, make_kit(name="Kit 7", foot_min_20c=12 * 60, vehicle_min_20c=47 * 60 + 5), 10
        )
    return job


def send(job: Job, kind: str, *, channel: str = "mail", **more: Any) -> CustomerMessage:
    """Send the words of a kind as they are filled in, unless `more` says otherwise."""
    details = more.pop("details", None) or default_details(job, kind, DAY)
    words = filled(job, kind, channel, details, DAY)
    to = recipients(job.customer, channel)
    values: dict[str, Any] = {
        "kind": kind, "channel": channel, "to": to[0][0] if to else "", "subject": words.subject,
        "body": words.body, "details": details, "key": uuid4(), "by": None, "at": AT,
    }  # fmt: skip
    return write_to_customer(job_id=job.pk, **values | more)
