"""Checks of the calendar's own: closed days, people away, phases in the wrong order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, datetime

from jobs.calendar.enums import Phase
from jobs.calendar.models import Booking, Slot
from jobs.calendar.queries import firm_calendar, phase_days
from jobs.kernel.registries import Finding, booking_check

Findings = Mapping[int, Sequence[Finding]]


@booking_check("closed_day", "look")
def closed_days(bookings: Sequence[Booking], at: datetime) -> Findings:
    """Say which booked days are weekend, holiday or our own closed days."""
    calendar = firm_calendar()
    found: dict[int, list[Finding]] = {}
    slots = Slot.objects.filter(booking__in=bookings).values_list("booking_id", "day").distinct()
    closed: dict[int, list[date]] = {}
    for booking_id, day in slots:
        if not calendar.is_open(day):
            closed.setdefault(booking_id, []).append(day)
    for booking_id, days in closed.items():
        words = ", ".join(f"{day:%a %-d %b}" for day in sorted(set(days)))
        found[booking_id] = [
            Finding(
                f"The firm does not work on {words}.",
                "Move the booking, or agree the day with the crew and say so.",
            )
        ]
    return found


@booking_check("person_away", "stop")
def people_away(bookings: Sequence[Booking], at: datetime) -> Findings:
    """Say who of a booked crew is on leave on a booked half-day."""
    booked = Slot.objects.filter(booking__in=bookings, resource__crew__isnull=False).values_list(
        "booking_id", "resource__crew_id", "day", "half"
    )
    by_half: dict[tuple[int, date, str], list[int]] = {}
    for booking_id, crew_id, day, half in booked:
        by_half.setdefault((crew_id, day, half), []).append(booking_id)
    away = Slot.objects.filter(
        leave__isnull=False,
        day__in={day for _, day, _ in by_half},
        leave__person__crew_id__in={crew for crew, _, _ in by_half},
    ).values_list("leave__person__crew_id", "leave__person__name", "day", "half", "leave__reason")
    days: dict[int, dict[tuple[str, str], set[date]]] = {}
    for crew_id, name, day, half, reason in away:
        for booking_id in by_half.get((crew_id, day, half), []):
            days.setdefault(booking_id, {}).setdefault((name, reason), set()).add(day)
    return {
        booking_id: [
            Finding(
                f"{name} of this crew is away ({reason}) on "
                f"{', '.join(f'{day:%a %-d %b}' for day in sorted(when))}.",
                "Send somebody else with the crew, or move the booking.",
            )
            for (name, reason), when in sorted(people.items())
        ]
        for booking_id, people in days.items()
    }


@booking_check("prepare_first", "look")
def prepare_before_lay(bookings: Sequence[Booking], at: datetime) -> Findings:
    """Say when a job is laid before or while its base is still being prepared."""
    laid = [booking for booking in bookings if booking.phase == Phase.LAY and booking.first_day]
    phases = phase_days({booking.job_id for booking in laid})
    found: dict[int, list[Finding]] = {}
    for booking in laid:
        prepare = phases.get(booking.job_id, {}).get(Phase.PREPARE)
        if prepare and booking.first_day and prepare[1] >= booking.first_day:
            found[booking.pk] = [
                Finding(
                    f"Preparing ends on {prepare[1]:%a %-d %b}, after laying begins.",
                    "Lay after the base is finished and has had its age.",
                )
            ]
    return found
