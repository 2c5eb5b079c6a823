"""Posting costs of jobs: budget at acceptance, actuals as they happen; each once."""

from __future__ import annotations

from datetime import date, datetime
from decimal import Decimal
from typing import Any

from jobs.costing.models import CostEntry
from jobs.kernel.posting import KeyUsedError, assert_in_transaction
from jobs.work.models import Job


def post_cost(  # noqa: PLR0913 - one ledger row, every part of it named
    *,
    job: Job,
    kind: str,
    category: str,
    what: str,
    amount: Decimal,
    day: date,
    source: str,
    source_id: int,
    key: str,
    by: Any,
    at: datetime,
    quantity: Decimal | None = None,
    unit: str = "",
    reverses: CostEntry | None = None,
) -> CostEntry:
    """Post one amount without VAT to a job's ledger, in the caller's transaction.

    `key` names the occasion, e.g. 'stock.movement:812'; the same key again returns the entry that
    stands, and raises KeyUsedError if it has another job or amount.
    """
    # long because: one ledger row, every part of it named
    assert_in_transaction()
    entry, made = CostEntry.objects.get_or_create(
        key=key,
        defaults={
            "job": job,
            "kind": kind,
            "category": category,
            "what": what[:200],
            "quantity": quantity,
            "unit": unit,
            "amount": amount,
            "day": day,
            "at": at,
            "by": by,
            "source": source,
            "source_id": source_id,
            "reverses": reverses,
        },
    )
    if not made and (entry.job_id != job.pk or entry.amount != amount):
        raise KeyUsedError("This cost was posted before with another job or amount.")
    return entry
