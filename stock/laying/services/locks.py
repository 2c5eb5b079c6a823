"""The lay day's row is the lock for its mixes, bays and differences.

Whoever also writes requirements, then lots, locks them after it, in that order.
"""

from __future__ import annotations

from jobs.kernel.errors import ServiceError
from stock.laying.models import Discrepancy, LayDay


def lock_day(lay_day_id: int, *, lock: bool = True) -> LayDay:
    """Lock a lay day and read it afresh, with its job; `lock=False` is for a race's control."""
    rows = LayDay.objects.select_related("job").filter(pk=lay_day_id)
    if lock:
        rows = rows.select_for_update(of=("self",), no_key=True)
    found = rows.first()
    if found is None:
        raise ServiceError("This lay day is not in the book.", code="lay_day")
    return found


def need_open(day: LayDay) -> None:
    """Refuse to change a day that is closed."""
    if day.closed_at is not None:
        raise ServiceError("This lay day is closed. Open it again first.", code="closed")


def save_day(day: LayDay, *fields: str) -> None:
    """Save some fields of a locked day and count its version up."""
    day.version += 1
    day.save(update_fields=[*fields, "version"])


def check_words(found: Discrepancy) -> Discrepancy:
    """Return a difference whose sentence fits its column."""
    found.what = found.what[:300]
    return found
