"""Subcontractors with their verifications; their bills and payments, written once.

What was booked is corrected by a counter-entry, never changed. Amounts in pounds and pence.
"""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from jobs.billing.enums import PaidBy
from jobs.kernel.fields import PenceField, at_least, more_than, one_of
from jobs.people.models import Person
from jobs.subcontract.enums import VerifiedBy
from jobs.subcontract.querysets import BillQuerySet, PaymentQuerySet, SubcontractorQuerySet
from jobs.work.models import Job

RATES = Q(percent__in=(0, 20, 30))


class Subcontractor(models.Model):
    """A firm or a person that does building work for us and sends us bills."""

    name = models.CharField(max_length=120, unique=True)
    address = models.CharField(max_length=400, blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=30, blank=True)
    utr = models.CharField("unique taxpayer reference", max_length=10, blank=True)
    vat_number = models.CharField("VAT number", max_length=20, blank=True)
    # One of ours whose hours are entered too: his labour must not be counted twice.
    person = models.OneToOneField(
        Person, on_delete=models.PROTECT, null=True, blank=True, related_name="subcontractor"
    )
    note = models.CharField(max_length=300, blank=True)
    made_at = models.DateTimeField()
    archived_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = SubcontractorQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["utr"], condition=~Q(utr=""), name="jobs_subcontractor_utr"
            )
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("subcontract:detail", args=[self.pk])


class Verification(models.Model):
    """At which rate HMRC said to deduct, on which day and how it was asked; written once."""

    append_only = True

    subcontractor = models.ForeignKey(
        Subcontractor, on_delete=models.PROTECT, related_name="verifications"
    )
    percent = models.DecimalField("rate in per cent", max_digits=5, decimal_places=2)
    reference = models.CharField("verification number", max_length=14)
    verified_on = models.DateField()
    how = models.CharField(max_length=8, choices=VerifiedBy.choices)
    evidence = models.UUIDField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    key = models.UUIDField(unique=True)
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ["-verified_on", "-pk"]
        constraints = [
            one_of("how", VerifiedBy, name="jobs_verification_how"),
            models.CheckConstraint(condition=RATES, name="jobs_verification_rate"),
        ]

    def __str__(self) -> str:
        return f"{self.reference} of {self.verified_on}"


class SubcontractBill(models.Model):
    """A subcontractor's bill for one job: what it is made of, and its VAT.

    A counter-entry names the bill in `reverses` and has every amount below nought. `number_key` is
    the bill's own number without case and spaces; `attempt` counts how often it was recorded, so
    that the same bill stands once and can be recorded rightly after it was taken back.
    """

    append_only = True

    subcontractor = models.ForeignKey(Subcontractor, on_delete=models.PROTECT, related_name="bills")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="subcontract_bills")
    number = models.CharField("number of the bill", max_length=40)
    number_key = models.CharField(max_length=40)
    attempt = models.PositiveSmallIntegerField(default=1)
    billed_on = models.DateField("date of the bill")
    words = models.CharField(max_length=200)
    labour = PenceField()
    # What they truly cost him without VAT.
    materials = PenceField(default=0)
    materials_estimated = models.BooleanField(default=False)
    consumables = PenceField(default=0)
    fuel = PenceField(default=0)
    plant_hire = PenceField(default=0)
    prefabrication = PenceField(default=0)
    net = PenceField()
    vat_rate = models.DecimalField("VAT rate in per cent", max_digits=5, decimal_places=2)
    vat = PenceField("VAT", default=0)
    reverse_charge = models.BooleanField(default=False)
    # What we are to account for ourselves; never part of what he is paid.
    reverse_vat = PenceField("VAT by reverse charge", default=0)
    vat_reason = models.CharField(max_length=200, blank=True)
    evidence = models.UUIDField(null=True, blank=True)
    # Said when it was recorded: its labour is for other work than his hours on the job.
    hours_apart = models.BooleanField(default=False)
    key = models.UUIDField(unique=True)
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    reverses = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, related_name="reversed_by"
    )

    objects = BillQuerySet.as_manager()

    class Meta:
        ordering = ["-billed_on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["subcontractor", "number_key", "attempt"], condition=Q(reverses=None),
                name="jobs_subcontractbill_once",
            ),
            models.CheckConstraint(
                condition=Q(
                    net=F("labour") + F("materials") + F("consumables") + F("fuel")
                    + F("plant_hire") + F("prefabrication")
                ),
                name="jobs_subcontractbill_adds_up",
            ),
            models.CheckConstraint(
                condition=Q(reverses=None, net__gt=0) | Q(reverses__isnull=False, net__lt=0),
                name="jobs_subcontractbill_sign",
            ),
            models.CheckConstraint(
                condition=Q(reverse_charge=True, vat=0) | Q(reverse_charge=False, reverse_vat=0),
                name="jobs_subcontractbill_reverse_charge",
            ),
            at_least("vat_rate", 0, name="jobs_subcontractbill_vat_rate"),
        ]  # fmt: skip

    def __str__(self) -> str:
        return f"{self.number} of {self.subcontractor}"

    def get_absolute_url(self) -> str:
        return reverse("subcontract:bill", args=[self.reverses_id or self.pk])

    @property
    def gross(self) -> object:
        """The bill with its VAT."""
        return self.net + self.vat


class SubcontractPayment(models.Model):
    """The payment of a bill less what is deducted under CIS, as it was reckoned that day.

    `gross` is the bill with VAT, `excluded` materials and the like, `taxed` what the deduction is
    taken on. Unverified means 30 % and no verification. A counter-entry takes it back.
    """

    append_only = True

    bill = models.ForeignKey(SubcontractBill, on_delete=models.PROTECT, related_name="payments")
    attempt = models.PositiveSmallIntegerField(default=1)
    paid_on = models.DateField()
    # The 5th on which the tax month of the payment ends.
    month_end = models.DateField()
    paid_by = models.CharField(max_length=8, choices=PaidBy.choices, default=PaidBy.TRANSFER)
    verification = models.ForeignKey(
        Verification, on_delete=models.PROTECT, null=True, related_name="payments"
    )
    percent = models.DecimalField("rate in per cent", max_digits=5, decimal_places=2)
    why = models.CharField(max_length=200)
    gross = PenceField()
    vat = PenceField("VAT")
    excluded = PenceField("materials and the like")
    taxed = PenceField()
    deduction = PenceField()
    paid = PenceField()
    note = models.CharField(max_length=200, blank=True)
    key = models.UUIDField(unique=True)
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    reverses = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, related_name="reversed_by"
    )

    objects = PaymentQuerySet.as_manager()

    class Meta:
        ordering = ["-paid_on", "-pk"]
        constraints = [
            one_of("paid_by", PaidBy, name="jobs_subcontractpayment_paid_by"),
            models.UniqueConstraint(
                fields=["bill", "attempt"], condition=Q(reverses=None),
                name="jobs_subcontractpayment_once",
            ),
            models.CheckConstraint(condition=RATES, name="jobs_subcontractpayment_rate"),
            models.CheckConstraint(
                condition=Q(paid=F("gross") - F("deduction")),
                name="jobs_subcontractpayment_paid",
            ),
            models.CheckConstraint(
                condition=Q(taxed=F("gross") - F("vat") - F("excluded")),
                name="jobs_subcontractpayment_taxed",
            ),
            more_than("attempt", 0, name="jobs_subcontractpayment_attempt"),
        ]  # fmt: skip
        indexes = [models.Index(fields=["month_end"], name="jobs_subpayment_month")]

    def __str__(self) -> str:
        return f"payment of {self.bill}"
