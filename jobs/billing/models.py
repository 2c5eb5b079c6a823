"""Requests for payment (no VAT invoices) and receipts; the VAT invoice follows the money."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from jobs.billing.enums import PaidBy, RequestKind
from jobs.kernel.fields import PenceField, more_than, one_of
from jobs.work.models import Job


class PaymentRequest(models.Model):
    """Asks the customer for money: 'This is a request for payment, not a VAT invoice'."""

    reference = models.CharField(max_length=20, unique=True)
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="payment_requests")
    kind = models.CharField(max_length=8, choices=RequestKind.choices)
    words = models.CharField(max_length=200)
    amount = PenceField("amount with VAT")
    due_on = models.DateField()
    issued_at = models.DateTimeField()
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    # Kept by the services from the receipts, under this row's lock.
    received = PenceField(default=0)

    class Meta:
        ordering = ["issued_at", "pk"]
        constraints = [
            one_of("kind", RequestKind, name="jobs_paymentrequest_kind"),
            more_than("amount", 0, name="jobs_paymentrequest_amount"),
            models.CheckConstraint(
                condition=Q(received__gte=0), name="jobs_paymentrequest_received"
            ),
            # One deposit stands for a job at a time.
            models.UniqueConstraint(
                fields=["job"],
                condition=Q(kind="deposit", withdrawn_at=None),
                name="jobs_paymentrequest_one_deposit",
            ),
        ]

    def __str__(self) -> str:
        return self.reference

    def get_absolute_url(self) -> str:
        return reverse("billing:request", args=[self.pk])

    @property
    def is_settled(self) -> bool:
        settled: bool = self.received >= self.amount
        return settled


class Receipt(models.Model):
    """Money that came in for a request; written once, corrected by a counter-receipt."""

    append_only = True

    request = models.ForeignKey(PaymentRequest, on_delete=models.PROTECT, related_name="receipts")
    amount = PenceField()
    received_on = models.DateField()
    paid_by = models.CharField(max_length=8, choices=PaidBy.choices, default=PaidBy.TRANSFER)
    note = models.CharField(max_length=200, blank=True)
    key = models.UUIDField(unique=True)
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    reverses = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, related_name="reversed_by"
    )

    class Meta:
        ordering = ["received_on", "pk"]
        constraints = [one_of("paid_by", PaidBy, name="jobs_receipt_paid_by")]

    def __str__(self) -> str:
        return f"{self.amount} for {self.request}"
