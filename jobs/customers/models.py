"""Customers and the people to ring there."""

from __future__ import annotations

from django.db import models
from django.urls import reverse

from jobs.customers.enums import CustomerKind
from jobs.customers.querysets import CustomerQuerySet
from jobs.kernel.fields import one_of


class Customer(models.Model):
    """Whoever pays: a household, a builder, a business or a public body."""

    kind = models.CharField(
        max_length=10, choices=CustomerKind.choices, default=CustomerKind.HOUSEHOLD
    )
    name = models.CharField(max_length=120)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=30, blank=True)
    address = models.TextField(blank=True, max_length=400)
    postcode = models.CharField(max_length=10, blank=True)
    vat_number = models.CharField("VAT number", max_length=20, blank=True)
    reports_under_cis = models.BooleanField("reports payments under CIS", default=False)
    # In writing: an end user or intermediary takes the job out of the reverse charge.
    end_user_confirmed = models.BooleanField("end user, confirmed in writing", default=False)
    wants_order_number = models.BooleanField("wants their order number on papers", default=False)
    terms_days = models.PositiveSmallIntegerField("days to pay", default=14)
    texts_agreed = models.BooleanField("said yes to text messages", default=False)
    only_needed = models.BooleanField("no messages but what the work needs", default=False)
    notes = models.TextField(blank=True, max_length=2000)
    created_at = models.DateTimeField()
    archived_at = models.DateTimeField(null=True, blank=True)
    erased_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = CustomerQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]
        constraints = [one_of("kind", CustomerKind, name="jobs_customer_kind")]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("customers:detail", args=[self.pk])

    @property
    def audit_name(self) -> str:
        """How events name this row: they are never erased, so not by the person's name."""
        return f"customer {self.pk}"

    @property
    def is_consumer(self) -> bool:
        """Whether consumer law applies: prices with VAT first, cancellation notice."""
        return self.kind == CustomerKind.HOUSEHOLD


class Contact(models.Model):
    """Somebody to ring or write to at a customer's."""

    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="contacts")
    name = models.CharField(max_length=80)
    role = models.CharField(max_length=60, blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=30, blank=True)
    archived_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return self.customer.get_absolute_url()

    @property
    def audit_name(self) -> str:
        """How events name this row."""
        return f"contact {self.pk} of customer {self.customer_id}"
