"""The customer's link and the customer's answer, and what links and answers share."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import Q

from jobs.kernel.fields import one_of
from quotes.acceptance.enums import AnsweredBy
from quotes.acceptance.rules import day_of_contract


class LinkModel(models.Model):
    """A link without log-in: 256 random bits, of which only the hash is kept."""

    token_hash = models.CharField(max_length=64, unique=True)
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    first_opened_at = models.DateTimeField(null=True, blank=True)
    withdrawn_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        abstract = True
        ordering = ["-created_at"]


class AnswerModel(models.Model):
    """One signature: by a link or on paper; it is written once."""

    append_only = True

    answered_by = models.CharField(max_length=5, choices=AnsweredBy.choices)
    name = models.CharField("name as typed", max_length=120)
    consents = models.JSONField(default=dict)
    gross = models.BigIntegerField("pence accepted")
    at = models.DateTimeField()
    # The day on the paper, which may be before the day on which the office recorded it.
    signed_on = models.DateField("signed on paper on", null=True)
    network_address = models.GenericIPAddressField(null=True)
    user_agent = models.CharField(max_length=300, blank=True)
    pdf_digest = models.CharField(max_length=64, blank=True)
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    paper_uid = models.UUIDField("attachment with the order", null=True)

    class Meta:
        abstract = True
        constraints = [
            one_of("answered_by", AnsweredBy, name="%(app_label)s_%(class)s_answered_by"),
            models.CheckConstraint(
                condition=Q(answered_by="link", recorded_by=None)
                | Q(answered_by="paper", recorded_by__isnull=False, paper_uid__isnull=False),
                name="%(app_label)s_%(class)s_paper_is_attached",
            ),
        ]

    @property
    def signed_day(self) -> date:
        """The day of the contract: that on the paper, or that of the press on the link.

        A paper recorded before its day was asked for counts from its recording.
        """
        return day_of_contract(self.signed_on, self.at)

    @property
    def pounds(self) -> Decimal:
        """The price with VAT that was accepted."""
        return (Decimal(self.gross) / 100).quantize(Decimal("0.01"))


class QuoteLink(LinkModel):
    """A link to one sent revision."""

    revision = models.ForeignKey("quotes.Revision", on_delete=models.PROTECT, related_name="links")

    def __str__(self) -> str:
        return f"link to {self.revision}"


class Acceptance(AnswerModel):
    """One acceptance of one revision, with the options that were taken."""

    revision = models.OneToOneField(
        "quotes.Revision", on_delete=models.PROTECT, related_name="acceptance"
    )
    options = models.JSONField(default=list)

    def __str__(self) -> str:
        return f"{self.revision} accepted by {self.name}"
