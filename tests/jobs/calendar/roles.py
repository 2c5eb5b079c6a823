"""Who may see and change the calendar."""

from __future__ import annotations

from datetime import timedelta
from uuid import uuid4

from jobs.calendar.models import BookingFinding, ClosedDay, Leave, Resource
from tests.factories import AT, DAY, make_booking, make_crew, make_job, make_person
from tests.role_rows import Row, World, everybody, only


def booking() -> World:
    found = make_booking(make_job(stage="booked"))
    slot = found.slots.first()
    assert slot is not None
    data = {
        "version": 1, "reason": "rain", "first": DAY, "first_half": "am", "last": DAY,
        "last_half": "pm", "resources": [slot.resource_id],
    }  # fmt: skip
    return World({"pk": found.pk}, data)


def missing() -> World:
    return World({"pk": 999_999}, {"version": 1, "reason": "rain"})


def to_book() -> World:
    data = {
        "job": make_job(stage="won").pk, "phase": "lay", "first": DAY, "first_half": "am",
        "last": "", "last_half": "pm", "resources": [make_crew().resource.pk], "uid": uuid4(),
    }  # fmt: skip
    return World({}, data)


def finding() -> World:
    found = BookingFinding.objects.create(
        booking=make_booking(make_job(stage="booked")), code="x", level="look", sentence="Look.",
        facts="f", at=AT,
    )  # fmt: skip
    return World({"pk": found.pk}, {"reason": "agreed"})


def leave_form() -> World:
    data = {"person": make_person().pk, "first": DAY, "last": DAY, "reason": "holiday"}
    return World({}, data)


def leave() -> World:
    found = Leave.objects.create(person=make_person(), first=DAY, last=DAY)
    return World({"pk": found.pk})


def closed() -> World:
    data = {"calendar": "firm", "day": DAY + timedelta(days=1), "reason": "works outing"}
    return World({}, data)


def closed_day() -> World:
    return World({"pk": ClosedDay.objects.create(calendar="firm", day=DAY, reason="outing").pk})


def mixer() -> World:
    found = Resource.objects.create(kind="mixer", name="Mixer 9")
    return World({"pk": found.pk}, {"name": "Mixer 8", "payload_kg": ""})


def crews_resource() -> World:
    return World({"pk": make_crew().resource.pk}, {"name": "Mixer 8"})


def plant() -> World:
    return World({}, {"kind": "mixer", "name": "Mixer"})


BOOKERS = ("owner", "office")
SLOTS = ("jobs.Booking", "jobs.Slot", "jobs.Event")
DAYS = ("jobs.Leave", "jobs.Slot", "jobs.ClosedDay", "jobs.Resource")
ROWS = [
    Row("calendar:week", "GET", everybody()),
    Row("calendar:book", "GET", only(*BOOKERS)),
    Row("calendar:book", "POST", only(*BOOKERS, status=302), to_book, models=SLOTS),
    Row("calendar:booking", "GET", everybody(), booking),
    Row("calendar:booking", "GET", everybody(404) | {"stranger": 404}, missing, "other"),
    Row("calendar:move", "GET", only(*BOOKERS), booking),
    Row("calendar:move", "POST", only(*BOOKERS, status=302), booking, models=SLOTS),
    Row("calendar:cancel", "GET", only(*BOOKERS), booking),
    Row("calendar:cancel", "POST", only(*BOOKERS, status=302), booking, models=SLOTS),
    Row("calendar:cancel", "POST", everybody(404) | {"stranger": 404}, missing, "other", SLOTS),
    Row("calendar:told", "GET", only(*BOOKERS), booking),
    Row("calendar:told", "POST", only(*BOOKERS, status=302), booking, models=SLOTS),
    Row("calendar:override", "GET", only("owner"), finding),
    Row(
        "calendar:override",
        "POST",
        only("owner", status=302),
        finding,
        models=("jobs.BookingFinding",),
    ),
    Row("calendar:days", "GET", only(*BOOKERS)),
    Row("calendar:leave", "GET", only(*BOOKERS)),
    Row("calendar:leave", "POST", only(*BOOKERS, status=302), leave_form, models=DAYS),
    Row("calendar:leave_cancel", "POST", only(*BOOKERS, status=302), leave, models=DAYS),
    Row("calendar:closed", "GET", only(*BOOKERS)),
    Row("calendar:closed", "POST", only(*BOOKERS, status=302), closed, models=DAYS),
    Row("calendar:plant", "GET", only(*BOOKERS)),
    Row("calendar:plant", "POST", only(*BOOKERS, status=302), plant, models=DAYS),
    Row("calendar:closed_open", "POST", only(*BOOKERS, status=302), closed_day, models=DAYS),
    Row("calendar:plant_edit", "GET", only(*BOOKERS), mixer),
    Row("calendar:plant_edit", "POST", only(*BOOKERS, status=302), mixer, models=DAYS),
    Row(
        "calendar:plant_edit",
        "POST",
        everybody(404) | {"stranger": 404},
        crews_resource,
        "other",
        DAYS,
    ),
    Row("calendar:plant_archive", "GET", only(*BOOKERS), mixer),
    Row("calendar:plant_archive", "POST", only(*BOOKERS, status=302), mixer, models=DAYS),
]
