"""The lay day: base accepted, mixes logged, bays measured, bags balanced in the evening."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from jobs.kernel.fields import BaseUnitField, more_than, one_of
from stock.catalogue.models import Blend
from stock.laying.enums import MixState
from stock.laying.querysets import (
    DiscrepancyQuerySet,
    LayBayQuerySet,
    LayDayQuerySet,
    MixQuerySet,
)
from stock.ledger.models import Lot, Posting


class LayDay(models.Model):
    """One job's day of laying; its row is the lock for the day's mixes."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True)
    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, related_name="+")
    day = models.DateField()
    lead = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    base_accepted_at = models.DateTimeField(null=True, blank=True)
    base_accepted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    # Degrees and per cent with one decimal; what the crew lead read on the spot.
    air_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    surface_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    humidity_percent = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    readings_at = models.DateTimeField(null=True, blank=True)
    base_note = models.CharField(max_length=300, blank=True)
    # What the engine said of the readings; with findings the base was accepted all the same.
    base_findings = models.JSONField(default=list, blank=True)
    # Until when the forecast on the phone says it stays dry; from it follows the last mix.
    dry_until = models.DateTimeField(null=True, blank=True)
    balanced_at = models.DateTimeField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = LayDayQuerySet.as_manager()

    class Meta:
        ordering = ["-day", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["job", "day"], name="stock_layday_once"),
            models.CheckConstraint(
                condition=Q(base_accepted_at=None)
                | Q(air_c__isnull=False, surface_c__isnull=False, humidity_percent__isnull=False),
                name="stock_layday_accepted_with_readings",
            ),
        ]

    def __str__(self) -> str:
        return f"lay day {self.day}"

    def get_absolute_url(self) -> str:
        return reverse("laying:day", args=[self.pk])

    @property
    def audit_name(self) -> str:
        """How events name this row: by the job's reference, which names nobody."""
        return f"{self.job.reference}, {self.day}"

    @property
    def state(self) -> str:
        """Where the day stands, as a word."""
        if self.closed_at:
            return "closed"
        return "laying" if self.base_accepted_at else "base not accepted"


class LayBay(models.Model):
    """Part of an area laid between two joints; its size is measured when it is full."""

    lay_day = models.ForeignKey(LayDay, on_delete=models.CASCADE, related_name="bays")
    name = models.CharField(max_length=40)
    area_name = models.CharField(max_length=60, blank=True)
    blend = models.ForeignKey(Blend, on_delete=models.PROTECT, null=True, related_name="+")
    area_m2 = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    full_at = models.DateTimeField(null=True, blank=True)

    objects = LayBayQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(area_m2=None, full_at=None) | Q(area_m2__gt=0, full_at__isnull=False),
                name="stock_laybay_full_is_measured",
            ),
            models.UniqueConstraint(fields=["lay_day", "name"], name="stock_laybay_name"),
        ]

    def __str__(self) -> str:
        return self.name


class Mix(models.Model):
    """One mix, logged with one tap. A laid mix is a fact and is never refused.

    If its stock could not be posted, `posting` is null and a discrepancy asks the storeman.
    """

    uid = models.UUIDField(unique=True)
    lay_day = models.ForeignKey(LayDay, on_delete=models.PROTECT, related_name="mixes")
    bay = models.ForeignKey(LayBay, on_delete=models.PROTECT, related_name="mixes")
    blend = models.ForeignKey(Blend, on_delete=models.PROTECT, related_name="mixes")
    number = models.PositiveSmallIntegerField()
    started_at = models.DateTimeField()
    logged_at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    state = models.CharField(max_length=5, choices=MixState.choices, default=MixState.LAID)
    posting = models.OneToOneField(Posting, on_delete=models.PROTECT, null=True, related_name="mix")

    objects = MixQuerySet.as_manager()

    class Meta:
        ordering = ["number"]
        constraints = [
            one_of("state", MixState, name="stock_mix_state"),
            more_than("number", 0, name="stock_mix_number"),
            # A mix logged by mistake gives its number back; only the last one can be undone.
            models.UniqueConstraint(
                fields=["lay_day", "number"],
                condition=~Q(state=MixState.VOID),
                name="stock_mix_number_once",
            ),
        ]

    def __str__(self) -> str:
        return f"mix {self.number}"


class Discrepancy(models.Model):
    """A difference between what was drawn, logged and brought back, for the storeman to answer."""

    lay_day = models.ForeignKey(LayDay, on_delete=models.PROTECT, related_name="discrepancies")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, null=True, related_name="+")
    mix = models.ForeignKey(Mix, on_delete=models.PROTECT, null=True, related_name="+")
    quantity = BaseUnitField(default=0)
    what = models.CharField(max_length=300)
    found_at = models.DateTimeField()
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    answer = models.CharField(max_length=300, blank=True)

    objects = DiscrepancyQuerySet.as_manager()

    class Meta:
        ordering = ["-found_at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(answered_at=None, answer="")
                | (Q(answered_at__isnull=False) & ~Q(answer="")),
                name="stock_discrepancy_answered_in_words",
            )
        ]

    def __str__(self) -> str:
        return self.what

    def get_absolute_url(self) -> str:
        return reverse("laying:answer", args=[self.pk])

    @property
    def state(self) -> str:
        """Whether somebody answered it, as a word."""
        return "answered" if self.answered_at else "open"

    @property
    def audit_name(self) -> str:
        """How events name this row."""
        return f"difference {self.pk} of {self.lay_day.job.reference}"
