"""The way to write to the customer, from the job's page and from a booking's."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from jobs.calendar.models import Booking
from jobs.kernel.panels import panel
from jobs.messages.enums import Kind
from jobs.work.enums import Stage
from jobs.work.models import Job


@panel(page="job", order=84, permission="jobs.manage_jobs")
def write_about_job(request: HttpRequest, job: Job) -> tuple[str, dict[str, Any]]:
    """Offer the kinds of message that fit where the job stands: no query."""
    kinds = [Kind.FREE] if job.stage not in Stage.AFTER_WON else list(Kind)
    return "jobs/messages/panel.html", {"links": links(job.pk, kinds), "customer": job.customer}


@panel(page="booking", order=30, permission="jobs.manage_jobs")
def write_about_booking(request: HttpRequest, booking: Booking) -> tuple[str, dict[str, Any]]:
    """Offer the kinds that say this booking's days: no query."""
    found = links(booking.job_id, [Kind(kind) for kind in Kind.DATED], booking.pk)
    return "jobs/messages/panel.html", {"links": found, "customer": booking.job.customer}


def links(job_id: int, kinds: list[Kind], booking: int | None = None) -> list[tuple[str, str]]:
    """Return each kind's words with where it is written."""
    address = reverse("messages:write", args=[job_id])
    more = f"&booking={booking}" if booking is not None else ""
    return [(str(kind.label), f"{address}?kind={kind.value}{more}") for kind in kinds]
