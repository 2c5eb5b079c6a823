"""Sites: where the surface is laid, and what the wagon and the crew meet there."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.urls import reverse

from jobs.customers.models import Customer
from jobs.kernel.fields import one_of
from jobs.sites.enums import Answer
from jobs.sites.querysets import SiteQuerySet

ANSWERS = ("wagon_access", "tail_lift", "parking_elsewhere", "water", "power", "dry_store")


def answer(words: str) -> Any:
    """Return the field for one question about a site."""
    return models.CharField(words, max_length=10, choices=Answer.choices, default=Answer.UNKNOWN)


class Site(models.Model):
    """One address of a customer's."""

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="sites")
    name = models.CharField(max_length=120)
    address = models.TextField(max_length=400)
    postcode = models.CharField(max_length=10, blank=True)
    wagon_access = answer("a wagon can reach it")
    tail_lift = answer("room for a tail-lift")
    parking_elsewhere = answer("cars can stand elsewhere for 24 h")
    water = answer("water on site")
    power = answer("power on site")
    dry_store = answer("a dry place for bags and kits")
    notes = models.TextField(blank=True, max_length=2000)
    created_at = models.DateTimeField()
    archived_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = SiteQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        constraints = [one_of(name, Answer, name=f"jobs_site_{name}") for name in ANSWERS]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("sites:detail", args=[self.pk])

    @property
    def audit_name(self) -> str:
        """How events name this row: they are never erased, so not by the address."""
        return f"site {self.pk} of customer {self.customer_id}"

    @property
    def one_line(self) -> str:
        """The address on one line."""
        return ", ".join(filter(None, [*self.address.splitlines(), self.postcode]))
