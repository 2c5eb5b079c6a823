"""Requests for payment (no VAT invoices), receipts, stage plans, and the invoices that follow.

Long because: the tables of billing hang together, and each column and constraint says why.
"""

from __future__ import annotations

import uuid
from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from jobs.billing.enums import InvoiceKind, PaidBy, PaperState, RequestKind
from jobs.billing.querysets import InvoiceQuerySet
from jobs.kernel.fields import PenceField, at_least, more_than, one_of
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
    """Money that came in for a request; written once, corrected by a counter-receipt.

    What a customer keeps back under CIS and pays to HMRC for us settles the request as money does.
    """

    append_only = True

    request = models.ForeignKey(PaymentRequest, on_delete=models.PROTECT, related_name="receipts")
    amount = PenceField()
    cis_deducted = PenceField("kept back under CIS", default=0)
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


class StagePlan(models.Model):
    """How a job is to be paid: its stages add up to what was agreed, net and VAT at every rate."""

    job = models.OneToOneField(Job, on_delete=models.PROTECT, related_name="stage_plan")
    reverse_charge = models.BooleanField(default=False)
    # Any rate but the standard one needs both before an invoice is issued.
    vat_reason = models.CharField(max_length=200, blank=True)
    vat_document = models.UUIDField(null=True, blank=True)
    made_at = models.DateTimeField()
    version = models.PositiveIntegerField(default=1)

    def __str__(self) -> str:
        return f"payment plan of {self.job}"

    def get_absolute_url(self) -> str:
        return reverse("billing:job", args=[self.job_id])

    @property
    def audit_name(self) -> str:
        """How events name this row."""
        return f"payment plan of job {self.job_id}"


class PlanStage(models.Model):
    """One stage of a plan; `request` is what asked for it, once it was asked for."""

    plan = models.ForeignKey(StagePlan, on_delete=models.CASCADE, related_name="stages")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=8, choices=RequestKind.choices)
    words = models.CharField(max_length=200)
    percent = models.DecimalField(max_digits=7, decimal_places=4, null=True)
    request = models.OneToOneField(
        PaymentRequest, on_delete=models.PROTECT, null=True, related_name="stage"
    )

    class Meta:
        ordering = ["plan_id", "position"]
        constraints = [
            one_of("kind", RequestKind, name="jobs_planstage_kind"),
            models.UniqueConstraint(fields=["plan", "position"], name="jobs_planstage_position"),
        ]

    def __str__(self) -> str:
        return self.words


class PlanShare(models.Model):
    """What a stage comes to at one rate; the last may be below nought after a variation."""

    stage = models.ForeignKey(PlanStage, on_delete=models.CASCADE, related_name="shares")
    rate = models.DecimalField("rate in per cent", max_digits=5, decimal_places=2)
    net = PenceField()
    vat = PenceField("VAT")

    class Meta:
        ordering = ["stage_id", "-rate"]
        constraints = [
            models.UniqueConstraint(fields=["stage", "rate"], name="jobs_planshare_once"),
            at_least("rate", 0, name="jobs_planshare_rate"),
        ]

    def __str__(self) -> str:
        return f"{self.net} at {self.rate} % of {self.stage}"


class PlanChange(models.Model):
    """What a variation did to a plan at one rate; written once."""

    append_only = True

    plan = models.ForeignKey(StagePlan, on_delete=models.PROTECT, related_name="changes")
    words = models.CharField(max_length=200)
    rate = models.DecimalField("rate in per cent", max_digits=5, decimal_places=2)
    net = PenceField()
    vat = PenceField("VAT")
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )

    class Meta:
        ordering = ["at", "pk"]

    def __str__(self) -> str:
        return self.words


class Invoice(models.Model):
    """A VAT invoice or a credit note as issued; the database refuses to change or delete it.

    `receipt` is the money that it follows, or `request` what it asks for; a credit note names the
    invoice in `credits` and its amounts are below nought. Particulars are kept as they stood: the
    regulations want them for six years, so that erasing a customer leaves them.
    """

    append_only = True

    number = models.CharField(max_length=20, unique=True)
    kind = models.CharField(max_length=10, choices=InvoiceKind.choices)
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="invoices")
    receipt = models.ForeignKey(
        Receipt, on_delete=models.PROTECT, null=True, related_name="invoices"
    )
    request = models.ForeignKey(
        PaymentRequest, on_delete=models.PROTECT, null=True, related_name="invoices"
    )
    credits = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, related_name="credit_notes"
    )
    supply_on = models.DateField("time of supply")
    issued_on = models.DateField()
    due_on = models.DateField(null=True)
    supplier_name = models.CharField(max_length=120)
    supplier_address = models.CharField(max_length=400)
    supplier_vat_number = models.CharField(max_length=20)
    supplier_utr = models.CharField(max_length=20, blank=True)
    customer_name = models.CharField(max_length=120)
    customer_address = models.TextField(max_length=420, blank=True)
    customer_vat_number = models.CharField(max_length=20, blank=True)
    consumer = models.BooleanField(default=False)
    job_words = models.CharField(max_length=160)
    order_number = models.CharField(max_length=40, blank=True)
    reverse_charge = models.BooleanField(default=False)
    net = PenceField()
    vat = PenceField("VAT")
    gross = PenceField()
    # What the customer is to account for; shown, and never part of the total.
    reverse_vat = PenceField("VAT by reverse charge", default=0)
    cis_percent = models.DecimalField(max_digits=5, decimal_places=2, null=True)
    cis_materials = PenceField(default=0)
    cis_deduction = PenceField(default=0)
    note = models.CharField(max_length=300, blank=True)
    # Written by hand: it takes nothing off the payment plan of its job.
    outside_plan = models.BooleanField(default=False)
    # Why another rate than the standard one, and the attachment that shows it.
    vat_reason = models.CharField(max_length=200, blank=True)
    vat_document = models.UUIDField(null=True, blank=True)
    # Why the reverse charge was decided as it was, where plan and conditions differed.
    reverse_reason = models.CharField(max_length=300, blank=True)
    key = models.UUIDField(unique=True)
    issued_at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )

    objects = InvoiceQuerySet.as_manager()

    class Meta:
        ordering = ["issued_at", "pk"]
        constraints = [
            one_of("kind", InvoiceKind, name="jobs_invoice_kind"),
            models.CheckConstraint(
                condition=Q(gross=F("net") + F("vat")), name="jobs_invoice_adds_up"
            ),
            # Under reverse charge no VAT is charged; without it none is left to the customer.
            models.CheckConstraint(
                condition=Q(reverse_charge=True, vat=0) | Q(reverse_charge=False, reverse_vat=0),
                name="jobs_invoice_reverse_charge",
            ),
            # A credit note names its invoice and is below nought; nothing else is either.
            models.CheckConstraint(
                condition=Q(kind="credit", credits__isnull=False, gross__lt=0)
                | (~Q(kind="credit") & Q(credits=None, gross__gt=0)),
                name="jobs_invoice_credit_names_invoice",
            ),
            # VAT Regulations 1995, regulation 16A: up to £250.
            models.CheckConstraint(
                condition=~Q(kind="simplified")
                | Q(gross__lte=Decimal("250.00"), reverse_charge=False),
                name="jobs_invoice_simplified_most",
            ),
            models.CheckConstraint(
                condition=Q(cis_percent=None, cis_deduction=0)
                | Q(cis_percent__isnull=False, cis_deduction__gte=0),
                name="jobs_invoice_cis",
            ),
        ]
        indexes = [models.Index(fields=["-issued_at"], name="jobs_invoice_latest")]

    def __str__(self) -> str:
        return self.number

    def get_absolute_url(self) -> str:
        return reverse("billing:invoice", args=[self.pk])

    @property
    def is_credit(self) -> bool:
        return self.kind == InvoiceKind.CREDIT

    @property
    def kind_words(self) -> str:
        """The kind as it begins a heading."""
        words = str(self.get_kind_display())
        return words[0].upper() + words[1:]


class IssuedLine(models.Model):
    """One line of an invoice as issued."""

    append_only = True

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    words = models.CharField(max_length=300)
    quantity = models.DecimalField(max_digits=12, decimal_places=3)
    unit = models.CharField(max_length=20)
    unit_price = models.DecimalField(max_digits=14, decimal_places=4)
    net = PenceField()
    rate = models.DecimalField("rate in per cent", max_digits=5, decimal_places=2)

    class Meta:
        ordering = ["invoice_id", "position"]
        constraints = [
            models.UniqueConstraint(fields=["invoice", "position"], name="jobs_issuedline_once")
        ]

    def __str__(self) -> str:
        return self.words


class IssuedRate(models.Model):
    """The total of an invoice at one rate, as issued."""

    append_only = True

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="rates")
    rate = models.DecimalField("rate in per cent", max_digits=5, decimal_places=2)
    net = PenceField()
    vat = PenceField("VAT")
    gross = PenceField()

    class Meta:
        ordering = ["invoice_id", "-rate"]
        constraints = [
            models.UniqueConstraint(fields=["invoice", "rate"], name="jobs_issuedrate_once"),
            models.CheckConstraint(
                condition=Q(gross=F("net") + F("vat")), name="jobs_issuedrate_adds_up"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.net} at {self.rate} %"


class InvoicePaper(models.Model):
    """The PDF of an invoice: drawn by a worker that claims this row, then kept with its hash."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True)
    invoice = models.OneToOneField(Invoice, on_delete=models.PROTECT, related_name="paper")
    state = models.CharField(max_length=9, choices=PaperState.choices, default=PaperState.DUE)
    asked_at = models.DateTimeField()
    claimed_at = models.DateTimeField(null=True)
    finished_at = models.DateTimeField(null=True)
    attachment_uid = models.UUIDField(null=True)
    digest = models.CharField(max_length=64, blank=True)
    pages = models.PositiveSmallIntegerField(default=0)
    error = models.CharField(max_length=300, blank=True)

    class Meta:
        constraints = [
            one_of("state", PaperState, name="jobs_invoicepaper_state"),
            # A PDF that is ready has its bytes and their hash.
            models.CheckConstraint(
                condition=~Q(state="ready") | (Q(attachment_uid__isnull=False) & ~Q(digest="")),
                name="jobs_invoicepaper_ready",
            ),
        ]

    def __str__(self) -> str:
        return f"PDF of {self.invoice}"
