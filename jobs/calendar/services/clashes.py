"""Saying who is where when a half-day is taken; the unique key has the last word."""

from __future__ import annotations

from collections.abc import Sequence

from jobs.calendar.enums import Half
from jobs.calendar.models import Resource, Slot
from jobs.calendar.rules import HalfDay
from jobs.kernel.errors import ServiceError


class ClashError(ServiceError):
    """A resource is taken at that half-day; nobody can override it."""

    def __init__(self, message: str) -> None:
        super().__init__(message, field="resources", code="clash")


def refuse_clashes(resources: Sequence[Resource], when: Sequence[HalfDay]) -> None:
    wanted = {(slot.day, slot.half) for slot in when}
    taken = (
        Slot.objects.filter(resource__in=resources, day__in={day for day, _ in wanted})
        .select_related("resource", "booking__job", "leave")
        .order_by("day", "half", "resource__name")
    )
    clashes = [slot for slot in taken if (slot.day, slot.half) in wanted]
    if not clashes:
        return
    slot = clashes[0]
    why = (
        f"is away ({slot.leave.reason})"
        if slot.leave
        else f"is at {slot.booking.job.reference} {slot.booking.job.title}"  # type: ignore[union-attr]
    )
    more = f" and {len(clashes) - 1} more half-days clash" if len(clashes) > 1 else ""
    half = Half(slot.half).label
    raise ClashError(f"{slot.resource.name} {why} on {slot.day:%a %-d %b}, {half}{more}.")
