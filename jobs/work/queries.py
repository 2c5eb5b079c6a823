"""Reads of jobs over several tables."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db.models import Model

from jobs.attachments.models import Attachment
from jobs.attachments.queries import attachments_of
from jobs.customers.models import Customer
from jobs.customers.queries import matching_customers
from jobs.kernel.clock import london_day
from jobs.kernel.models import PostingKey
from jobs.work.enums import Stage
from jobs.work.models import Job, StageChange
from jobs.work.rules import CLOSED, LINE


@dataclass(frozen=True)
class StageLine:
    """The stages of a job in order, the day each was reached, and the word of the present one."""

    stages: tuple[tuple[str, date | None], ...]
    here: str


def stage_line(job: Job, history: Sequence[StageChange]) -> StageLine:
    """Return the line of stages; a closed job shows those it reached, and then how it ended."""
    reached: dict[str, date] = {}
    for change in history:
        reached[change.after] = london_day(change.at)
    here = Stage(job.stage)
    if here in CLOSED:
        shown = [stage for stage in LINE if stage in reached] + [here]
        return StageLine(tuple((s.label, reached.get(s)) for s in shown), here.label)
    place = LINE.index(here)
    days = [(s.label, reached.get(s) if n <= place else None) for n, s in enumerate(LINE)]
    return StageLine(tuple(days), here.label)


def files_of(subject: Model, user: Any) -> list[Attachment]:
    """Return the photos and papers of a row that this user may see: one query."""
    return [file for file in attachments_of(subject) if user.has_perm(file.permission)]


def known_callers(*, name: str, phone: str, email: str) -> list[Customer]:
    """Return customers who may be the person on the telephone."""
    return matching_customers(name=name, phone=phone, email=email)


def was_taken(uid: str) -> bool:
    """Return whether the enquiry with this key was taken already."""
    try:
        key = UUID(uid)
    except ValueError:
        return False
    return PostingKey.objects.filter(key=key, kind="take_enquiry").exists()


def jobs_at(customer_id: int | None = None, site_id: int | None = None) -> list[Job]:
    """Return the jobs of a customer or of a site, newest first: one query."""
    jobs = Job.objects.for_list()
    if customer_id is not None:
        jobs = jobs.filter(customer_id=customer_id)
    if site_id is not None:
        jobs = jobs.filter(site_id=site_id)
    return list(jobs[:50])


def waiting_enquiries(before: datetime) -> list[Job]:
    """Return enquiries taken before an instant with no survey yet, the oldest first: one query."""
    waiting = Job.objects.for_list().filter(stage=Stage.ENQUIRY, opened_at__lt=before, surveys=None)
    return list(waiting.order_by("opened_at", "pk")[:10])


def job_records(customer_id: int) -> dict[str, Any]:
    """Return what this room knows of a customer's jobs, as plain values."""
    names = (
        "reference", "title", "stage", "source", "enquiry", "customer_order_number", "lost_reason",
        "opened_at",
    )  # fmt: skip
    rows = (
        Job.objects.filter(customer_id=customer_id).order_by("pk").prefetch_related("stage_changes")
    )
    return {
        "jobs": [
            {name: getattr(job, name) for name in names}
            | {
                "stages": [
                    {"stage": c.after, "at": c.at, "reason": c.reason}
                    for c in job.stage_changes.all()
                ]
            }
            for job in rows
        ]
    }
