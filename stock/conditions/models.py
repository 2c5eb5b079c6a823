"""Readings of temperature and humidity by place, who sends them, and what went beyond limits."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from jobs.kernel.fields import BaseUnitField, at_least, more_than, one_of
from stock.catalogue.models import Item, Place
from stock.conditions.enums import FileState, Outcome, Side, Source
from stock.conditions.querysets import ExcursionQuerySet, ReadingQuerySet, SensorQuerySet
from stock.ledger.models import Lot

USUAL_GAP_HOURS = 6


class Watch(models.Model):
    """One row a place that is watched: the lock of its readings, and what of them is to be checked.

    `dirty_from` is the earliest reading that came since the last check, null when none did.
    """

    place = models.OneToOneField(Place, on_delete=models.PROTECT, related_name="+")
    gap_hours = models.PositiveSmallIntegerField("a gap is longer than", default=USUAL_GAP_HOURS)
    dirty_from = models.DateTimeField(null=True)
    checked_at = models.DateTimeField(null=True)

    class Meta:
        constraints = [more_than("gap_hours", 0, name="stock_watch_gap")]

    def __str__(self) -> str:
        return f"readings of {self.place}"


class Sensor(models.Model):
    """A device that may send readings of one place; of its token only the hash is kept."""

    name = models.CharField(max_length=60)
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="+")
    token_hash = models.CharField(max_length=64, unique=True)
    token_end = models.CharField(max_length=4)
    created_at = models.DateTimeField()
    last_sent_at = models.DateTimeField(null=True, blank=True)
    stopped_at = models.DateTimeField(null=True, blank=True)

    objects = SensorQuerySet.as_manager()

    class Meta:
        ordering = ["name", "pk"]

    def __str__(self) -> str:
        return self.name


class ReadingFile(models.Model):
    """A logger's file that was looked at: its good rows wait for a yes, its bad ones are named."""

    key = models.UUIDField(default=uuid.uuid4, unique=True)
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=120)
    state = models.CharField(max_length=9, choices=FileState.choices, default=FileState.LOOKED_AT)
    rows = models.JSONField(default=list, help_text="[instant, °C, % or null]; empty once taken")
    bad = models.JSONField(default=list, help_text="[line, sentence]")
    repeats = models.PositiveIntegerField(default=0)
    looked_at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    taken_at = models.DateTimeField(null=True)
    new = models.PositiveIntegerField("readings it brought", default=0)
    known = models.PositiveIntegerField("readings that were there", default=0)

    class Meta:
        ordering = ["-looked_at", "-pk"]
        constraints = [one_of("state", FileState, name="stock_readingfile_state")]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("conditions:file", args=[self.pk])


class Reading(models.Model):
    """Temperature, and perhaps humidity, in a place at an instant; one for each instant."""

    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    celsius = models.DecimalField("°C", max_digits=5, decimal_places=2)
    humidity = models.DecimalField(
        "relative humidity (%)", max_digits=4, decimal_places=1, null=True, blank=True
    )
    source = models.CharField(max_length=6, choices=Source.choices)
    sensor = models.ForeignKey(Sensor, on_delete=models.PROTECT, null=True, related_name="+")
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    recorded_at = models.DateTimeField()
    left_out_reason = models.CharField(max_length=200, blank=True)

    objects = ReadingQuerySet.as_manager()

    class Meta:
        ordering = ["place_id", "at"]
        constraints = [
            models.UniqueConstraint(fields=["place", "at"], name="stock_reading_once"),
            one_of("source", Source, name="stock_reading_source"),
            models.CheckConstraint(
                condition=Q(celsius__gte=-40, celsius__lte=80), name="stock_reading_celsius"
            ),
            models.CheckConstraint(
                condition=Q(humidity=None) | Q(humidity__gte=0, humidity__lte=100),
                name="stock_reading_humidity",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.celsius} °C in {self.place}"


class Excursion(models.Model):
    """One item in one place, beyond its limit for longer than its hours allow; waits for an answer.

    What was decided counts anew from then: later hours make a new one.
    """

    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="+")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="+")
    side = models.CharField(max_length=4, choices=Side.choices)
    limit_c = models.DecimalField("limit (°C)", max_digits=4, decimal_places=1)
    hours_allowed = models.PositiveSmallIntegerField()
    started_at = models.DateTimeField()
    ended_at = models.DateTimeField()
    hours = models.DecimalField("hours beyond", max_digits=8, decimal_places=2)
    extreme_c = models.DecimalField("farthest (°C)", max_digits=5, decimal_places=2)
    found_at = models.DateTimeField()
    answered_at = models.DateTimeField(null=True)
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    outcome = models.CharField(max_length=8, choices=Outcome.choices, blank=True)
    finding = models.CharField(max_length=200, blank=True)

    objects = ExcursionQuerySet.as_manager()

    class Meta:
        ordering = ["-started_at", "-pk"]
        constraints = [
            one_of("side", Side, name="stock_excursion_side"),
            more_than("hours", 0, name="stock_excursion_hours"),
            models.UniqueConstraint(
                fields=["item", "place", "side", "started_at"], name="stock_excursion_once"
            ),
            models.CheckConstraint(
                condition=Q(ended_at__gte=F("started_at")), name="stock_excursion_ends_after"
            ),
            models.CheckConstraint(
                condition=Q(answered_at=None, outcome="", finding="")
                | (Q(answered_at__isnull=False) & ~Q(outcome="") & ~Q(finding="")),
                name="stock_excursion_answer_is_whole",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item} {self.get_side_display()} {self.limit_c} °C in {self.place}"

    def get_absolute_url(self) -> str:
        return reverse("conditions:excursion", args=[self.pk])


class ExcursionLot(models.Model):
    """A lot that lay there beyond its hours: for how long, how much of it, whether it was held."""

    excursion = models.ForeignKey(Excursion, on_delete=models.PROTECT, related_name="lots")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="+")
    quantity = BaseUnitField("the most that lay there")
    hours = models.DecimalField(max_digits=8, decimal_places=2)
    held_reason = models.CharField("held with these words", max_length=200, blank=True)
    note = models.CharField("why it was not held", max_length=200, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["excursion", "lot"], name="stock_excursionlot_once"),
            at_least("quantity", 0, name="stock_excursionlot_quantity"),
        ]

    def __str__(self) -> str:
        return f"{self.lot} in {self.excursion}"
