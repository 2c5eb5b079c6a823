"""The calendar: half-day slots of crews, people, vehicles and mixers. A clash cannot be saved."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from jobs.calendar.enums import ClosedFor, Half, Level, Phase, ResourceKind
from jobs.calendar.querysets import BookingQuerySet
from jobs.kernel.fields import one_of
from jobs.people.models import Crew, Person
from jobs.work.models import Job


class Resource(models.Model):
    """Something that can be in one place at a time; its row is the lock for its slots."""

    kind = models.CharField(max_length=8, choices=ResourceKind.choices)
    name = models.CharField(max_length=60)
    crew = models.OneToOneField(Crew, on_delete=models.PROTECT, null=True, related_name="resource")
    person = models.OneToOneField(
        Person, on_delete=models.PROTECT, null=True, related_name="resource"
    )
    payload_kg = models.PositiveIntegerField("usable payload (kg)", null=True, blank=True)
    archived_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["kind", "name"]
        constraints = [
            one_of("kind", ResourceKind, name="jobs_resource_kind"),
            models.UniqueConstraint(fields=["kind", "name"], name="jobs_resource_name"),
            # A crew's resource is that crew and a person's is that person; plant is neither.
            models.CheckConstraint(
                condition=Q(kind="crew", crew__isnull=False, person=None)
                | Q(kind="person", person__isnull=False, crew=None)
                | Q(kind__in=["vehicle", "mixer"], crew=None, person=None),
                name="jobs_resource_is_what_it_says",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Booking(models.Model):
    """One phase of a job on the calendar; its half-days are its slots."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True)
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="bookings")
    phase = models.CharField(max_length=8, choices=Phase.choices)
    note = models.CharField(max_length=300, blank=True)
    told_customer_at = models.DateTimeField(null=True, blank=True)
    created_at = models.DateTimeField()
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    cancelled_at = models.DateTimeField(null=True, blank=True)
    # The days of its slots, so that lists need not read them; kept by the services.
    first_day = models.DateField(null=True, blank=True)
    last_day = models.DateField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = BookingQuerySet.as_manager()

    class Meta:
        ordering = ["first_day", "pk"]
        constraints = [
            one_of("phase", Phase, name="jobs_booking_phase"),
            models.CheckConstraint(
                condition=Q(first_day=None, last_day=None) | Q(first_day__lte=F("last_day")),
                name="jobs_booking_days_in_order",
            ),
        ]
        indexes = [models.Index(fields=["first_day", "last_day"], name="jobs_booking_days")]

    def __str__(self) -> str:
        return f"{self.get_phase_display()} {self.job.reference}"

    def get_absolute_url(self) -> str:
        return reverse("calendar:booking", args=[self.pk])


class Leave(models.Model):
    """A person away; it takes that person's slots like a booking does."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="leaves")
    first = models.DateField()
    last = models.DateField()
    reason = models.CharField(max_length=60, default="holiday")
    cancelled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-first"]
        constraints = [
            models.CheckConstraint(condition=Q(first__lte=F("last")), name="jobs_leave_in_order")
        ]

    def __str__(self) -> str:
        return f"{self.person} away {self.first} to {self.last}"


class Slot(models.Model):
    """One half-day of one resource, taken by a booking or by leave; the key refuses a clash."""

    resource = models.ForeignKey(Resource, on_delete=models.PROTECT, related_name="slots")
    day = models.DateField()
    half = models.CharField(max_length=2, choices=Half.choices)
    booking = models.ForeignKey(
        Booking, on_delete=models.CASCADE, null=True, blank=True, related_name="slots"
    )
    leave = models.ForeignKey(
        Leave, on_delete=models.CASCADE, null=True, blank=True, related_name="slots"
    )

    class Meta:
        ordering = ["day", "half", "resource_id"]
        constraints = [
            models.UniqueConstraint(fields=["resource", "day", "half"], name="jobs_slot_one_each"),
            one_of("half", Half, name="jobs_slot_half"),
            models.CheckConstraint(
                condition=Q(booking__isnull=False, leave=None)
                | Q(booking=None, leave__isnull=False),
                name="jobs_slot_booking_or_leave",
            ),
        ]
        indexes = [models.Index(fields=["day"], name="jobs_slot_day")]

    def __str__(self) -> str:
        return f"{self.resource} {self.day} {self.half}"


class BookingFinding(models.Model):
    """What a check found at a booking; recomputed by the service that writes and by a sweep."""

    booking = models.ForeignKey(Booking, on_delete=models.CASCADE, related_name="findings")
    code = models.CharField(max_length=40)
    level = models.CharField(max_length=5, choices=Level.choices)
    sentence = models.CharField(max_length=300)
    remedy = models.CharField(max_length=300, blank=True)
    facts = models.CharField("hash of the facts", max_length=64)
    at = models.DateTimeField()
    overridden_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    override_reason = models.CharField(max_length=200, blank=True)
    overridden_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["level", "code", "pk"]
        constraints = [
            one_of("level", Level, name="jobs_bookingfinding_level"),
            models.UniqueConstraint(
                fields=["booking", "code", "facts"], name="jobs_bookingfinding_once"
            ),
        ]

    def __str__(self) -> str:
        return self.sentence


class ClosedDay(models.Model):
    """A day on which the firm does not work or the yard cannot receive, beside the weekend."""

    calendar = models.CharField(max_length=4, choices=ClosedFor.choices)
    day = models.DateField()
    reason = models.CharField(max_length=60)

    class Meta:
        ordering = ["day"]
        constraints = [
            one_of("calendar", ClosedFor, name="jobs_closedday_calendar"),
            models.UniqueConstraint(fields=["calendar", "day"], name="jobs_closedday_once"),
        ]

    def __str__(self) -> str:
        return f"{self.day} {self.reason}"
