"""Every move of a job from stage to stage."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction

from jobs.audit.services import post_event
from jobs.customers.rules import tidy_line
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction
from jobs.work.enums import LostReason, Stage
from jobs.work.models import Job, StageChange
from jobs.work.rules import (
    BY_HAND,
    CAN_BE_CANCELLED,
    CAN_BE_LOST,
    CLOSED,
    Move,
    judge_move,
)


def locked_job(job_id: int) -> Job:
    """Lock a job's row and return it as it is now."""
    job: Job = Job.objects.select_for_update(no_key=True).get(pk=job_id)
    return job


def post_stage(
    *, job: Job, stage: str, by: Any, at: datetime, reason: str = "", back: bool = False
) -> Job:
    """Move a job to the stage that an event leads to, inside that event's transaction.

    A job already there or beyond stays. `back` is for an event that undoes one (the last booking
    taken out). Refuses a lost or cancelled job, and a step that the table of stages does not know.
    """
    assert_in_transaction()
    job = locked_job(job.pk)
    to = Stage(stage)
    move = judge_move(Stage(job.stage), to, back=back)
    if move is Move.REFUSE:
        here = Stage(job.stage)
        if here in CLOSED:
            raise ServiceError(
                f"{job.reference} is {here.label}. Open it again first.", code="closed"
            )
        raise ServiceError(
            f"{job.reference} is at '{here.label}', and '{to.label}' does not follow from that.",
            code="stage",
        )
    if move is Move.GO:
        move_to(job, to, by=by, at=at, reason=reason)
    return job


def move_to(
    job: Job, to: Stage, *, by: Any, at: datetime, reason: str = "", lost_reason: str = ""
) -> None:
    """Write the move: the job, its history, the event. The job is locked already."""
    before = job.stage
    job.stage = to
    job.lost_reason = lost_reason
    job.stage_since = at
    job.version += 1
    job.save(update_fields=["stage", "lost_reason", "stage_since", "version"])
    StageChange.objects.create(job=job, before=before, after=to, at=at, by=by, reason=reason[:300])
    # The reason stays in the history, which can be erased; events cannot.
    post_event(
        verb="move_on", subject=job, by=by, at=at, before={"stage": before},
        after={"stage": to.value},
    )  # fmt: skip


@transaction.atomic(durable=True)
def record_step(*, job_id: int, stage: str, by: Any, at: datetime, note: str = "") -> Job:
    """Record an event that only people see: laying finished, handed over, guarantee given."""
    job = locked_job(job_id)
    sources = BY_HAND.get(Stage(stage), (frozenset(), ""))[0]
    if job.stage == stage:
        return job
    if Stage(job.stage) not in sources:
        raise ServiceError(
            f"{job.reference} is at '{job.get_stage_display()}'; this step does not follow from "
            "that. Look at the job again.",
            code="stage",
        )
    move_to(job, Stage(stage), by=by, at=at, reason=tidy_line(note))
    return job


@transaction.atomic(durable=True)
def lose_job(*, job_id: int, reason: str, note: str, by: Any, at: datetime) -> Job:
    """Note that a job went elsewhere, and why; only before it is won."""
    job = locked_job(job_id)
    if job.stage == Stage.LOST:
        return job
    if Stage(job.stage) not in CAN_BE_LOST:
        raise ServiceError(
            f"A job at '{job.get_stage_display()}' cannot be lost any more; cancel it.",
            code="stage",
        )
    if reason not in LostReason.values:
        raise ServiceError("Say why it was lost.", field="reason")
    move_to(job, Stage.LOST, by=by, at=at, reason=tidy_line(note), lost_reason=reason)
    return job


@transaction.atomic(durable=True)
def cancel_job(*, job_id: int, note: str, by: Any, at: datetime) -> Job:
    """Cancel an open job, with the reason in words."""
    job = locked_job(job_id)
    if job.stage == Stage.CANCELLED:
        return job
    if Stage(job.stage) not in CAN_BE_CANCELLED:
        raise ServiceError(
            f"A job at '{job.get_stage_display()}' cannot be cancelled.", code="stage"
        )
    if not note.strip():
        raise ServiceError("Say why it is cancelled.", field="note")
    move_to(job, Stage.CANCELLED, by=by, at=at, reason=tidy_line(note))
    return job


@transaction.atomic(durable=True)
def reopen_job(*, job_id: int, note: str, by: Any, at: datetime) -> Job:
    """Open a lost or cancelled job again, at the stage it had; bookings do not come back."""
    job = locked_job(job_id)
    if Stage(job.stage) not in CLOSED:
        return job
    if not note.strip():
        raise ServiceError("Say why it is opened again.", field="note")
    ended = job.stage_changes.filter(after=job.stage).last()
    before = Stage(ended.before) if ended and ended.before else Stage.ENQUIRY
    to = Stage.WON if before in (Stage.BOOKED, Stage.ON_SITE, Stage.SNAGGING) else before
    move_to(job, to, by=by, at=at, reason=tidy_line(note))
    return job
