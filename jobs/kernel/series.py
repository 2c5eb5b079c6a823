"""Human references: given under a lock, in order, never used again."""

from __future__ import annotations

from datetime import date

from django.db import transaction

from jobs.kernel.models import NumberSeries
from jobs.kernel.posting import assert_in_transaction


def next_number(name: str) -> int:
    """Return the next number of the series `name`, 1 first; the caller's transaction keeps it.

    If that transaction fails the number is given to the next one, so the series has no gaps.
    """
    assert_in_transaction()
    NumberSeries.objects.get_or_create(name=name)
    series = NumberSeries.objects.select_for_update(no_key=True).get(name=name)
    series.last += 1
    series.save(update_fields=["last"])
    return series.last


def next_reference(prefix: str, on: date) -> str:
    """Return a reference such as J-2026-0031; the series starts anew with the year."""
    with transaction.atomic():
        return f"{prefix}-{on.year}-{next_number(f'{prefix}-{on.year}'):04d}"
