"""The cost ledger of jobs: written once, corrected by counter-entries; each cost stands once."""

from __future__ import annotations

import uuid
from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import Q

from jobs.costing.enums import Category, EntryKind, HoursKind
from jobs.kernel.fields import PenceField, more_than, one_of
from jobs.people.models import Person
from jobs.work.models import Job


class CostEntry(models.Model):
    """One amount of budget or of actual cost of a job, without VAT.

    `source` names what it came from ('stock.posting', 'jobs.hours', 'quotes.revision') and `key`
    is unique, so that the same source never posts twice.
    """

    append_only = True

    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="cost_entries")
    kind = models.CharField(max_length=6, choices=EntryKind.choices)
    category = models.CharField(max_length=11, choices=Category.choices)
    what = models.CharField(max_length=200)
    # Quantity and unit let price and usage variances be told apart; both or neither.
    quantity = models.DecimalField(max_digits=14, decimal_places=3, null=True)
    unit = models.CharField(max_length=10, blank=True)
    amount = PenceField()
    day = models.DateField()
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    source = models.CharField(max_length=40)
    source_id = models.BigIntegerField()
    key = models.CharField(max_length=100, unique=True)
    reverses = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, related_name="reversed_by"
    )

    class Meta:
        ordering = ["day", "pk"]
        constraints = [
            one_of("kind", EntryKind, name="jobs_costentry_kind"),
            one_of("category", Category, name="jobs_costentry_category"),
            models.CheckConstraint(
                condition=Q(quantity=None, unit="") | (Q(quantity__isnull=False) & ~Q(unit="")),
                name="jobs_costentry_quantity_has_unit",
            ),
        ]
        indexes = [
            models.Index(fields=["job", "kind", "category"], name="jobs_costentry_job"),
            models.Index(fields=["day"], name="jobs_costentry_day"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.what}"


class Hours(models.Model):
    """Time of one person on one job and day; standing time is kept apart."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True)
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="hours")
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="hours")
    day = models.DateField()
    kind = models.CharField(max_length=8, choices=HoursKind.choices, default=HoursKind.WORK)
    minutes = models.PositiveIntegerField()
    hourly = models.DecimalField(max_digits=10, decimal_places=4, default=Decimal(0))
    note = models.CharField(max_length=200, blank=True)
    entered_at = models.DateTimeField()
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-day", "person_id", "pk"]
        constraints = [
            one_of("kind", HoursKind, name="jobs_hours_kind"),
            more_than("minutes", 0, name="jobs_hours_some"),
            models.CheckConstraint(condition=Q(minutes__lte=24 * 60), name="jobs_hours_one_day"),
        ]

    def __str__(self) -> str:
        return f"{self.person} {self.minutes} min on {self.day}"
