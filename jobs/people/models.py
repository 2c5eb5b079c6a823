"""People who work on site, what an hour of them costs, and the crews they form."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.db import models

from jobs.kernel.fields import at_least
from jobs.people.querysets import PersonQuerySet


class Crew(models.Model):
    """People who usually work together, with one lead."""

    name = models.CharField(max_length=40, unique=True)
    archived_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Person(models.Model):
    """Somebody who lays, prepares or drives; with a log-in or without."""

    name = models.CharField(max_length=80)
    user = models.OneToOneField(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="person",
    )
    crew = models.ForeignKey(
        Crew, on_delete=models.PROTECT, null=True, blank=True, related_name="people"
    )
    is_lead = models.BooleanField("leads the crew", default=False)
    phone = models.CharField(max_length=30, blank=True)
    cards = models.CharField("cards and tickets", max_length=200, blank=True)
    archived_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = PersonQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["crew"], condition=models.Q(is_lead=True), name="jobs_person_one_lead"
            )
        ]

    def __str__(self) -> str:
        return self.name


class PayRate(models.Model):
    """What an hour of a person costs the firm from a day on; the next row ends it."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="pay_rates")
    valid_from = models.DateField()
    hourly = models.DecimalField("cost an hour (£)", max_digits=10, decimal_places=4)

    class Meta:
        ordering = ["-valid_from"]
        constraints = [
            models.UniqueConstraint(fields=["person", "valid_from"], name="jobs_payrate_from"),
            at_least("hourly", Decimal(0), name="jobs_payrate_hourly"),
        ]

    def __str__(self) -> str:
        return f"{self.person}: £{self.hourly} from {self.valid_from}"
