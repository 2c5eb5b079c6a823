"""The bell of the conditions: check a place when readings came, and find what was missed."""

from __future__ import annotations

from celery import shared_task

from jobs.kernel.clock import now
from jobs.kernel.taskrun import recorded
from stock.conditions.services import check_place, forget_old_files, sweep_excursions


@shared_task(name="stock.conditions.check")
def check(place_id: int) -> None:
    """Check one place, unless another worker has done it."""
    check_place(place_id=place_id, at=now())


@shared_task(name="stock.conditions.sweep")
def sweep() -> None:
    """Check the places whose bell was lost; safe to repeat."""
    with recorded("stock.conditions.sweep") as say:
        at = now()
        found = sweep_excursions(at=at)
        forgotten = forget_old_files(at=at)
        say(f"{found} excursions new or longer; {forgotten} files forgotten")
