"""Leave, closed days and plant: what they take, what they tell bookings, how they are undone."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from jobs.calendar import services
from jobs.calendar.models import Booking, ClosedDay, Leave, Resource, Slot
from jobs.kernel.errors import ServiceError
from tests.factories import DAY, make_booking, make_crew, make_job, make_person

pytestmark = pytest.mark.django_db(transaction=True)
Log = Callable[[Any], Client]
ONE = timedelta(days=1)


def codes(booking: Booking) -> list[str]:
    return list(booking.findings.order_by("code").values_list("code", flat=True))


def test_leave_is_told_to_bookings_of_the_crew_at_once(at: datetime) -> None:
    crew = make_crew()
    person = make_person(name="Bea", crew=crew)
    mine = make_booking(make_job(stage="booked"), crew=crew)
    other = make_booking(make_job(stage="booked"))
    leave = services.add_leave(
        person_id=person.pk, first=DAY, last=DAY + ONE, reason="wedding", by=None, at=at
    )
    assert Slot.objects.filter(leave=leave).count() == 4
    assert (codes(mine), codes(other)) == (["person_away"], [])
    [finding] = mine.findings.all()
    assert finding.sentence == "Bea of this crew is away (wedding) on Thu 14 May."
    services.cancel_leave(leave_id=leave.pk, by=None, at=at)
    assert codes(mine) == []
    assert not Slot.objects.filter(leave=leave).exists()


def test_leave_over_a_booking_is_refused_whole(at: datetime) -> None:
    person = make_person(name="Bea")
    booking = make_booking(make_job(stage="booked", reference="J-2026-9002", title="Mill drive"))
    Slot.objects.create(resource=person.resource, day=DAY, half="pm", booking=booking)
    with pytest.raises(ServiceError, match="Bea is at J-2026-9002 Mill drive on Thu 14 May"):
        services.add_leave(
            person_id=person.pk, first=DAY - ONE, last=DAY, reason="", by=None, at=at
        )
    assert not Leave.objects.exists()


def test_leave_ends_after_it_begins(at: datetime) -> None:
    with pytest.raises(ServiceError) as refused:
        services.add_leave(
            person_id=make_person().pk, first=DAY, last=DAY - ONE, reason="x", by=None, at=at
        )
    assert refused.value.field == "last"


def test_a_closed_day_is_told_to_bookings_and_taken_back(at: datetime) -> None:
    booking = make_booking(make_job(stage="booked"))
    closed = services.add_closed_day(calendar="firm", day=DAY, reason="outing", by=None, at=at)
    assert codes(booking) == ["closed_day"]
    with pytest.raises(ServiceError, match="closed already"):
        services.add_closed_day(calendar="firm", day=DAY, reason="again", by=None, at=at)
    services.reopen_day(closed_id=closed.pk, by=None, at=at)
    assert codes(booking) == []
    assert not ClosedDay.objects.exists()


def test_a_day_without_goods_in_is_no_matter_of_bookings(at: datetime) -> None:
    booking = make_booking(make_job(stage="booked"))
    services.add_closed_day(calendar="yard", day=DAY, reason="gate broken", by=None, at=at)
    assert codes(booking) == []


def test_plant_is_changed_and_put_away_unless_booked(at: datetime) -> None:
    mixer = services.add_plant(kind="mixer", name="Mixer 1", by=None, at=at)
    van = services.add_plant(kind="vehicle", name="Van 1", payload_kg=900, by=None, at=at)
    with pytest.raises(ServiceError, match="there already"):
        services.add_plant(kind="mixer", name="MIXER 1", by=None, at=at)
    services.change_plant(plant_id=van.pk, name="Tipper", payload_kg=1400, by=None, at=at)
    van.refresh_from_db()
    assert (van.name, van.payload_kg) == ("Tipper", 1400)
    booking = make_booking(make_job(stage="booked"))
    Slot.objects.create(resource=mixer, day=DAY, half="am", booking=booking)
    with pytest.raises(ServiceError, match="Mixer 1 is still booked on Thu 14 May 2026"):
        services.archive_plant(plant_id=mixer.pk, by=None, at=at)
    services.archive_plant(plant_id=mixer.pk, by=None, at=at + ONE)
    mixer.refresh_from_db()
    assert mixer.archived_at == at + ONE


def test_a_crew_is_no_plant(at: datetime) -> None:
    with pytest.raises(Resource.DoesNotExist):
        services.archive_plant(plant_id=make_crew().resource.pk, by=None, at=at)


def test_the_page_of_days_offers_what_undoes_each(office: Any, client_for: Log) -> None:
    from django.utils import timezone

    ahead = timezone.localdate() + timedelta(days=40)
    Leave.objects.create(person=make_person(name="Bea"), first=ahead, last=ahead)
    ClosedDay.objects.create(calendar="firm", day=ahead, reason="outing")
    Resource.objects.create(kind="vehicle", name="Van 1", payload_kg=900)
    client = client_for(office)
    page = client.get(reverse("calendar:days")).content.decode()
    assert "Take back" in page
    assert "Open again" in page
    assert "carries 900" in page
    for name in ("leave_cancel", "closed_open"):
        model: Any = {"leave_cancel": Leave, "closed_open": ClosedDay}[name]
        assert (
            client.post(reverse(f"calendar:{name}", args=[model.objects.get().pk])).status_code
            == 302
        )
    after = client.get(reverse("calendar:days")).content.decode()
    assert "Nobody is away." in after
    assert "No further days are closed." in after


@pytest.mark.parametrize(
    ("page", "typed", "field"),
    [
        ("leave", {"person": "999999"}, "person"),
        ("leave", {"first": "soon"}, "first"),
        ("leave", {"last": "2026-05-01"}, "last"),
        ("leave", {"last": "2027-05-14"}, "last"),
        ("closed", {"day": "2026-02-30"}, "day"),
        ("closed", {"calendar": "moon"}, "calendar"),
        ("plant", {"payload_kg": "-1"}, "payload_kg"),
        ("plant", {"kind": "crew"}, "kind"),
    ],
)
def test_bad_input_stands_at_its_field(
    page: str, typed: dict[str, str], field: str, office: Any, client_for: Log
) -> None:
    forms: dict[str, dict[str, Any]] = {
        "leave": {"person": make_person().pk, "first": "2026-05-14", "last": "2026-05-15",
                  "reason": "holiday"},
        "closed": {"calendar": "firm", "day": "2026-05-14", "reason": "outing"},
        "plant": {"kind": "vehicle", "name": "Van", "payload_kg": "900"},
    }  # fmt: skip
    answer = client_for(office).post(reverse(f"calendar:{page}"), forms[page] | typed)
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
