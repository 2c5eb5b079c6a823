"""Marking what is reserved as labelled: the packs carry the job's name and stay with it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from jobs.audit.services import post_event
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction
from stock.allocation.models import Reservation
from stock.allocation.services.requirements import lock_requirements


def post_labelled(*, job_id: int, by: Any, at: datetime) -> list[Reservation]:
    """Mark all that is reserved for a job as labelled and return it, in the caller's transaction.

    It does not move by itself any more. A reservation that is given back is gone, and its mark with
    it; one that was labelled before keeps its first moment. Refuses where nothing is reserved.
    """
    assert_in_transaction()
    lock_requirements(job_id)
    rows = list(Reservation.objects.of_job(job_id).order_by("pk"))
    if not rows:
        raise ServiceError("Nothing is reserved for this job. Reserve first.", code="nothing")
    fresh = [row for row in rows if row.labelled_at is None]
    for row in fresh:
        row.labelled_at = at
        row.save(update_fields=["labelled_at"])
    if fresh:
        post_event(
            verb="stock.label", subject=rows[0].requirement.job, by=by, at=at,
            after={row.lot.code: row.quantity for row in fresh},
        )  # fmt: skip
    return rows
