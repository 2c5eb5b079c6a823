"""The sweep that stores what jobs lack, so that pages and reminders read rows."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from jobs.kernel.posting import assert_in_transaction
from jobs.work.models import Job
from stock.allocation.models import Requirement
from stock.ordering.models import Shortage
from stock.ordering.queries import Reckoned, on_order, reckon_shortages
from stock.ordering.queries.shortages import WANTING

FIELDS = ("quantity", "needed_on", "order_by", "channels", "why", "checked_at")


@dataclass(frozen=True)
class Swept:
    """What a sweep found: open shortages, how many of them are new, how many ended."""

    open: int
    new: int
    ended: int


@transaction.atomic(durable=True)
def sweep_shortages(*, at: datetime) -> Swept:
    """Reckon what every won job lacks and store it; safe to repeat."""
    return post_shortages(at=at)


def post_shortages(*, at: datetime, lock: bool = True) -> Swept:
    """Do the sweep's work in the caller's transaction.

    The jobs that want something are locked in pk order, so that two sweeps, or a sweep and the
    placing of an order, come one after the other. `lock=False` is for the race tests' control.
    """
    assert_in_transaction()
    wanting = Job.objects.filter(
        stage__in=WANTING, pk__in=Requirement.objects.filter(closed_at=None).values("job_id")
    ).order_by("pk")
    if lock:
        wanting = wanting.select_for_update(no_key=True)
    list(wanting.values_list("pk", flat=True))
    reckoned = {row.short.need.key: row for row in reckon_shortages(at)}
    standing = {
        (row.job_id, row.item_id, row.colour_group, row.phase): row
        for row in Shortage.objects.open().select_related("job", "item")
    }
    for key, row in reckoned.items():
        if key in standing:
            _update(standing[key], row, at)
    new = [_new(row, at) for key, row in reckoned.items() if key not in standing]
    Shortage.objects.bulk_create(new)
    ended = [row for key, row in standing.items() if key not in reckoned]
    _end(ended, at)
    return Swept(len(reckoned), len(new), len(ended))


def _update(shortage: Shortage, row: Reckoned, at: datetime) -> None:
    for name, value in _values(row, at).items():
        setattr(shortage, name, value)
    shortage.save(update_fields=FIELDS)


def _new(row: Reckoned, at: datetime) -> Shortage:
    need = row.short.need
    return Shortage(
        job_id=need.job_id, item_id=need.item_id, colour_group=need.colour_group, phase=need.phase,
        found_at=at, **_values(row, at),
    )  # fmt: skip


def _values(row: Reckoned, at: datetime) -> dict[str, object]:
    return {
        "quantity": row.short.quantity,
        "needed_on": row.short.need.needed_on,
        "order_by": row.order_by,
        "channels": [moment.as_json() for moment in row.moments],
        "why": row.why,
        "checked_at": at,
    }


def _end(ended: list[Shortage], at: datetime) -> None:
    if not ended:
        return
    coming = on_order({row.job_id for row in ended})
    for row in ended:
        if row.job.stage not in WANTING:
            because = f"the job is {row.job.get_stage_display()}"
        elif coming.get((row.job_id, row.item_id, row.colour_group)):
            because = "it is on order"
        else:
            because = "it is in the yard, or no longer wanted"
        row.closed_at, row.closed_because = at, because
        row.save(update_fields=["closed_at", "closed_because"])
