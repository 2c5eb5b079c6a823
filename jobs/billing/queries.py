"""Reading what was asked for and what came in."""

from __future__ import annotations

from collections.abc import Iterable

from jobs.billing.enums import RequestKind
from jobs.billing.models import PaymentRequest


def deposit_state(job_ids: Iterable[int]) -> dict[int, str]:
    """Return for each job 'none', 'open' or 'settled'; one query."""
    ids = list(job_ids)
    states = dict.fromkeys(ids, "none")
    requests = PaymentRequest.objects.filter(
        job_id__in=ids, kind=RequestKind.DEPOSIT, withdrawn_at=None
    )
    for request in requests:
        states[request.job_id] = "settled" if request.is_settled else "open"
    return states
