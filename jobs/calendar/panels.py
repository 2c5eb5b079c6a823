"""What the calendar adds below it: its part of the job page, and a resource for each newcomer."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.http import HttpRequest
from django.urls import reverse

from jobs.calendar.enums import Phase
from jobs.calendar.models import Booking
from jobs.calendar.services import follow_resource, post_resource
from jobs.kernel.panels import panel
from jobs.kernel.registries import when_made
from jobs.work.enums import Stage


@panel("job", 50, "jobs.view_work")
def job_calendar(request: HttpRequest, job: Any) -> tuple[str, dict[str, Any]] | None:
    """The job's bookings with what the checks say of them."""
    if job.stage not in Stage.AFTER_WON:
        return None
    bookings = (
        Booking.objects.standing()
        .filter(job=job)
        .prefetch_related("findings")
        .order_by("first_day")
    )
    context = {"job": job, "bookings": bookings, "may_book": job.stage in Stage.OPEN}
    return "jobs/calendar/job_panel.html", context


@when_made("crew")
def crew_resource(crew: Any, by: Any, at: datetime) -> None:
    post_resource(kind="crew", row=crew, by=by, at=at)


@when_made("person")
def person_resource(person: Any, by: Any, at: datetime) -> None:
    post_resource(kind="person", row=person, by=by, at=at)


@when_made("person_changed")
def person_follows(person: Any, by: Any, at: datetime) -> None:
    follow_resource(row=person, at=at)


@when_made("crew_changed")
def crew_follows(crew: Any, by: Any, at: datetime) -> None:
    follow_resource(row=crew, at=at)


@panel("job_next", 50, "jobs.book_crews")
def book_next(request: HttpRequest, job: Any) -> tuple[str, dict[str, Any]] | None:
    """A job that was won and has no day to be laid on wants a crew."""
    if job.stage not in {Stage.WON, Stage.BOOKED}:
        return None
    if Booking.objects.standing().filter(job=job, phase=Phase.LAY).exists():
        return None
    return "jobs/work/next_step.html", {
        "title": "book the crew",
        "why": "What stands in the way is said before it is saved.",
        "url": f"{reverse('calendar:book')}?job={job.pk}",
        "button": "Book a crew",
    }
