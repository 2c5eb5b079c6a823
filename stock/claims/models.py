"""Claims for goods that came short, damaged or wrong, from the deadline to the credit."""

from __future__ import annotations

from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from jobs.kernel.fields import PenceField, at_least, one_of
from stock.claims.enums import Against, Answer, ClaimState, ToldBy
from stock.claims.querysets import ClaimQuerySet
from stock.claims.rules import left_words
from stock.ordering.models import GoodsIn, GoodsInLine


class Claim(models.Model):
    """What is claimed for lines of one delivery, and what came of it.

    It is open until they were told, waits for an answer, then for the credit, and is closed with
    words where less (or more) came than was expected.
    """

    key = models.UUIDField(unique=True)
    reference = models.CharField(max_length=20, unique=True)
    goods_in = models.ForeignKey(GoodsIn, on_delete=models.PROTECT, related_name="claims")
    lines = models.ManyToManyField(GoodsInLine, related_name="claims")
    against = models.CharField(max_length=8, choices=Against.choices)
    what = models.CharField("what is claimed", max_length=500)
    notify_by = models.DateField("they must be told by")
    opened_at = models.DateTimeField()
    opened_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    notified_at = models.DateTimeField(null=True, blank=True)
    notified_how = models.CharField(max_length=9, choices=ToldBy.choices, blank=True)
    notified_words = models.CharField("what they were told", max_length=500, blank=True)
    answer = models.CharField(max_length=8, choices=Answer.choices, blank=True)
    answered_on = models.DateField(null=True, blank=True)
    answer_words = models.CharField("what they said", max_length=500, blank=True)
    credit_expected = PenceField("credit expected, without VAT", null=True, blank=True)
    credit_received = PenceField("credit received, without VAT", default=0)
    credit_on = models.DateField("last credit on", null=True, blank=True)
    credit_reference = models.CharField("their credit notes", max_length=120, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    closing_words = models.CharField(max_length=300, blank=True)

    objects = ClaimQuerySet.as_manager()

    class Meta:
        ordering = ["-opened_at", "-pk"]
        constraints = [
            one_of("against", Against, name="stock_claim_against"),
            at_least("credit_received", 0, name="stock_claim_credit_received"),
            models.CheckConstraint(
                condition=Q(credit_expected=None) | Q(credit_expected__gte=0),
                name="stock_claim_credit_expected",
            ),
            # Told: when, how and with which words, or none of the three.
            models.CheckConstraint(
                condition=Q(notified_at=None, notified_how="", notified_words="")
                | (
                    Q(notified_at__isnull=False, notified_how__in=ToldBy.values)
                    & ~Q(notified_words="")
                ),
                name="stock_claim_told_whole",
            ),
            # Nobody answers before being told.
            models.CheckConstraint(
                condition=Q(answer="", answered_on=None)
                | Q(
                    answer__in=Answer.values, answered_on__isnull=False, notified_at__isnull=False
                ),
                name="stock_claim_answer_whole",
            ),
        ]  # fmt: skip
        indexes = [models.Index(fields=["closed_at", "notify_by"], name="stock_claim_going")]

    def __str__(self) -> str:
        return self.reference

    def get_absolute_url(self) -> str:
        return reverse("claims:detail", args=[self.pk])

    @property
    def state(self) -> ClaimState:
        """How it stands."""
        if self.closed_at:
            return ClaimState.CLOSED
        if self.answer:
            return ClaimState.ANSWERED
        return ClaimState.NOTIFIED if self.notified_at else ClaimState.OPEN

    @property
    def difference(self) -> Decimal:
        """What came less than was expected; with a minus, more."""
        expected: Decimal = self.credit_expected or Decimal("0.00")
        difference: Decimal = expected - self.credit_received
        return difference

    @property
    def credit_words(self) -> str:
        """How the credit stands."""
        return left_words(self.credit_expected, self.credit_received)
