"""Booking half-days: slots are taken and given back in one transaction, a clash is refused.

Resources are locked in pk order; moves delete and insert slots, since shifting days by one UPDATE
breaks the key half-way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import IntegrityError, transaction
from django.db.models import Q

from jobs.audit.services import post_event
from jobs.calendar.enums import Phase
from jobs.calendar.models import Booking, BookingFinding, Resource, Slot
from jobs.calendar.rules import HalfDay
from jobs.calendar.services.clashes import ClashError, refuse_clashes
from jobs.calendar.services.findings import post_findings
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction, claim_key, finish_key
from jobs.work.enums import Stage
from jobs.work.models import Job
from jobs.work.services import post_stage


@dataclass(frozen=True)
class Preview:
    """What the checks would say of a booking that is not saved yet."""

    findings: tuple[BookingFinding, ...]


@transaction.atomic(durable=True)
def book_phase(
    *,
    job_id: int,
    phase: str,
    resource_ids: Sequence[int],
    when: Sequence[HalfDay],
    note: str = "",
    key: UUID,
    by: Any,
    at: datetime,
) -> Booking:
    """Book a phase of a job for resources and half-days; the same key again returns the booking.

    Raises ClashError when a resource is taken, ServiceError for a job that is not won.
    """
    inputs = {
        "job": job_id,
        "phase": phase,
        "resources": sorted(resource_ids),
        "when": sorted(when),
    }
    done = claim_key(key=key, kind="book_phase", inputs=inputs, at=at)
    if done is not None:
        return Booking.objects.get(pk=done.result or 0)
    booking = _new_booking(job_id, phase, note, by, at)
    _take_slots(booking, resource_ids, when)
    if booking.job.stage == Stage.WON:
        post_stage(job=booking.job, stage=Stage.BOOKED, by=by, at=at, reason=f"{phase} booked")
    post_findings([booking], at=at)
    post_event(verb="book", subject=booking, by=by, at=at, after=_as_words(booking, when))
    finish_key(key=key, result=booking.pk)
    return booking


@transaction.atomic(durable=True)
def preview_booking(
    *,
    job_id: int,
    phase: str,
    resource_ids: Sequence[int],
    when: Sequence[HalfDay],
    by: Any,
    at: datetime,
) -> Preview:
    """Return what the checks say of a booking, and keep nothing of it.

    The booking is really made and then rolled back, so that every check sees what it will see.
    """
    booking = _new_booking(job_id, phase, "", by, at)
    _take_slots(booking, resource_ids, when)
    findings = tuple(post_findings([booking], at=at))
    transaction.set_rollback(True)
    return Preview(findings)


def _new_booking(job_id: int, phase: str, note: str, by: Any, at: datetime) -> Booking:
    job = Job.objects.select_for_update(no_key=True, of=("self",)).get(pk=job_id)
    if job.stage not in Stage.AFTER_WON:
        raise ServiceError(
            f"{job.reference} is {job.get_stage_display()}; only a job that was won can be booked."
        )
    return Booking.objects.create(
        job=job, phase=Phase(phase), note=note[:300], created_at=at, created_by=by
    )


def _take_slots(booking: Booking, resource_ids: Sequence[int], when: Sequence[HalfDay]) -> None:
    """Insert the slots under the resources' locks and keep the booking's first and last day."""
    if not resource_ids:
        raise ServiceError("Choose at least one crew, person, vehicle or mixer.", field="resources")
    if not when:
        raise ServiceError("Choose at least one half-day.", field="first")
    resources = list(
        Resource.objects.select_for_update(no_key=True).filter(pk__in=resource_ids).order_by("pk")
    )
    if len(resources) != len(set(resource_ids)) or any(r.archived_at for r in resources):
        raise ServiceError("One of the resources is no longer there.", field="resources")
    refuse_clashes(resources, when)
    slots = [
        Slot(resource=resource, day=slot.day, half=slot.half, booking=booking)
        for resource in resources
        for slot in when
    ]
    try:
        with transaction.atomic():
            Slot.objects.bulk_create(slots)
    except IntegrityError as error:
        # The key is the last word: another screen was quicker.
        raise ClashError("Somebody booked one of these half-days at the same moment.") from error
    days = sorted(slot.day for slot in when)
    booking.first_day, booking.last_day = days[0], days[-1]
    booking.save(update_fields=["first_day", "last_day"])


@transaction.atomic(durable=True)
def move_booking(
    *,
    booking_id: int,
    version: int,
    resource_ids: Sequence[int],
    when: Sequence[HalfDay],
    note: str | None = None,
    by: Any,
    at: datetime,
) -> Booking:
    """Give a booking other half-days or resources; `version` is the one the page showed."""
    booking = _locked_booking(booking_id, version)
    before = _as_words(booking, _when_of(booking))
    _change_slots(booking, resource_ids, when, by)
    if note is not None:
        booking.note = note[:300]
    booking.version += 1
    booking.save(update_fields=["note", "version"])
    post_findings([booking], at=at)
    after = _as_words(booking, when)
    post_event(verb="move_booking", subject=booking, by=by, at=at, before=before, after=after)
    return booking


@transaction.atomic(durable=True)
def preview_move(
    *,
    booking_id: int,
    version: int,
    resource_ids: Sequence[int],
    when: Sequence[HalfDay],
    by: Any,
    at: datetime,
) -> Preview:
    """Return what the checks would say of a moved booking, and keep nothing of the move.

    What was overridden and stays as it was is not said again.
    """
    booking = _locked_booking(booking_id, version)
    _change_slots(booking, resource_ids, when, by)
    findings = post_findings([booking], at=at)
    transaction.set_rollback(True)
    return Preview(tuple(row for row in findings if row.overridden_at is None))


def _change_slots(
    booking: Booking, resource_ids: Sequence[int], when: Sequence[HalfDay], by: Any
) -> None:
    if booking.told_customer_at is not None and not by.has_perm("jobs.override_check"):
        raise ServiceError("The customer was told this date; the owner has to move it.")
    _lock_old_and_new(booking, resource_ids)
    booking.slots.all().delete()
    _take_slots(booking, resource_ids, when)


def _lock_old_and_new(booking: Booking, resource_ids: Sequence[int]) -> None:
    """Lock what is given back and what is taken in one order: no two moves wait in a ring."""
    every = Resource.objects.filter(Q(pk__in=resource_ids) | Q(slots__booking=booking)).values("pk")
    list(Resource.objects.select_for_update(no_key=True).filter(pk__in=every).order_by("pk"))


@transaction.atomic(durable=True)
def cancel_booking(*, booking_id: int, version: int, reason: str, by: Any, at: datetime) -> Booking:
    """Give all half-days of a booking back; the row stays as a record."""
    booking = _locked_booking(booking_id, version)
    before = _as_words(booking, _when_of(booking))
    booking.slots.all().delete()
    booking.findings.all().delete()
    booking.cancelled_at = at
    booking.version += 1
    booking.save(update_fields=["cancelled_at", "version"])
    post_event(verb="cancel_booking", subject=booking, by=by, at=at, before=before, reason=reason)
    return booking


def _locked_booking(booking_id: int, version: int) -> Booking:
    booking: Booking = (
        Booking.objects.select_for_update(no_key=True, of=("self",))
        .select_related("job")
        .get(pk=booking_id)
    )
    if booking.cancelled_at is not None:
        raise ServiceError("This booking was cancelled already.")
    if booking.version != version:
        raise ServiceError(
            "Somebody else changed this booking since you opened it. Look at it again first.",
            code="stale",
        )
    return booking


@transaction.atomic(durable=True)
def tell_customer(*, booking_id: int, version: int, by: Any, at: datetime) -> Booking:
    """Note that the customer was told this date: from now on only the owner moves it."""
    booking = _locked_booking(booking_id, version)
    _note_told(booking, by, at)
    return booking


def post_told(*, booking_ids: Sequence[int], by: Any, at: datetime) -> None:
    """Note that a message which told these dates has left; part of marking it as sent."""
    assert_in_transaction()
    rows = Booking.objects.standing().filter(pk__in=booking_ids).order_by("pk")
    for booking in rows.select_for_update(no_key=True, of=("self",)).select_related("job"):
        _note_told(booking, by, at)


def _note_told(booking: Booking, by: Any, at: datetime) -> None:
    booking.told_customer_at = at
    booking.version += 1
    booking.save(update_fields=["told_customer_at", "version"])
    post_event(verb="tell_customer", subject=booking, by=by, at=at)


def _when_of(booking: Booking) -> list[HalfDay]:
    return sorted({HalfDay(slot.day, slot.half) for slot in booking.slots.all()})


def _as_words(booking: Booking, when: Sequence[HalfDay]) -> dict[str, object]:
    names = sorted({slot.resource.name for slot in booking.slots.select_related("resource")})
    first, last = min(when, default=None), max(when, default=None)
    return {
        "phase": booking.phase,
        "from": f"{first.day} {first.half}" if first else "",
        "to": f"{last.day} {last.half}" if last else "",
        "resources": ", ".join(names),
    }
