"""Labels that change something: those of a job's lots bind them to it."""

from __future__ import annotations

from datetime import datetime
from typing import Any

from django.db import transaction

from stock.allocation.models import Reservation
from stock.allocation.services import post_labelled


@transaction.atomic(durable=True)
def label_job(*, job_id: int, by: Any, at: datetime) -> list[Reservation]:
    """Mark what is reserved for a job as labelled and return it, for the paper that is drawn then.

    From then on no proposal moves it. Printed again it stays as it is.
    """
    return post_labelled(job_id=job_id, by=by, at=at)
