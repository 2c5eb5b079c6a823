"""The stock ledger: lots with guarded balances, and movements that are written once."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from jobs.kernel.fields import BaseUnitField, PenceField, at_least, more_than, one_of
from stock.catalogue.models import Item, Place
from stock.ledger.enums import LotStatus, PostingKind
from stock.ledger.querysets import (
    KeptBackQuerySet,
    LotQuerySet,
    MovementQuerySet,
    PostingQuerySet,
)


class Lot(models.Model):
    """What came in together and may be used together; its row is the lock for its stock.

    `on_hand` is what lies in bays and vans, `at_sites` what was issued and neither laid nor brought
    back. `cost` is the landed cost, without VAT, of all `received`; the cost of a part is the
    difference of rounded running totals over `costed`, so that the parts add up to the penny.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True)
    code = models.CharField(max_length=20, unique=True)
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="lots")
    run = models.CharField("production run", max_length=30, blank=True)
    batch_a = models.CharField("batch of part A", max_length=30, blank=True)
    expiry_a = models.DateField("use part A by", null=True, blank=True)
    batch_b = models.CharField("batch of part B", max_length=30, blank=True)
    expiry_b = models.DateField("use part B by", null=True, blank=True)
    # The earlier of the two parts' dates; null for what does not expire.
    expiry = models.DateField("use by", null=True, blank=True)
    status = models.CharField(max_length=8, choices=LotStatus.choices, default=LotStatus.RELEASED)
    held_reason = models.CharField(max_length=200, blank=True)
    received_on = models.DateField()
    received = BaseUnitField()
    on_hand = BaseUnitField(default=0)
    at_sites = BaseUnitField(default=0)
    reserved = BaseUnitField(default=0)
    cost = PenceField("landed cost", default=0)
    costed = BaseUnitField(default=0)
    parent = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="parts"
    )

    objects = LotQuerySet.as_manager()

    class Meta:
        ordering = ["item_id", "expiry", "received_on", "pk"]
        constraints = [
            one_of("status", LotStatus, name="stock_lot_status"),
            more_than("received", 0, name="stock_lot_received"),
            at_least("reserved", 0, name="stock_lot_reserved"),
            at_least("at_sites", 0, name="stock_lot_at_sites"),
            at_least("costed", 0, name="stock_lot_costed"),
            at_least("cost", 0, name="stock_lot_cost"),
            models.CheckConstraint(
                condition=Q(reserved__lte=F("on_hand")), name="stock_lot_reserved_is_there"
            ),
            models.CheckConstraint(
                condition=(Q(status="held") & ~Q(held_reason=""))
                | Q(status="released", held_reason=""),
                name="stock_lot_held_says_why",
            ),
        ]
        # The yard's list reads its first page off the second, whatever was used up before.
        indexes = [
            models.Index(fields=["item", "status", "expiry"], name="stock_lot_usable"),
            models.Index(
                fields=["expiry", "id"], name="stock_lot_in_use",
                condition=Q(on_hand__gt=0) | Q(at_sites__gt=0),
            ),
            models.Index(fields=["expiry", "id"], name="stock_lot_first_expired"),
        ]  # fmt: skip

    def __str__(self) -> str:
        return self.code

    def get_absolute_url(self) -> str:
        return reverse("ledger:detail", args=[self.pk])

    @property
    def free(self) -> int:
        """Base units that no reservation holds."""
        return int(self.on_hand - self.reserved)


class Balance(models.Model):
    """How much of a lot lies in one bay, van or site; never below zero."""

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="balances")
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="balances")
    quantity = BaseUnitField(default=0)

    class Meta:
        constraints = [
            at_least("quantity", 0, name="stock_balance_not_negative"),
            models.UniqueConstraint(fields=["lot", "place"], name="stock_balance_once"),
        ]
        indexes = [
            models.Index(
                fields=["place", "lot"], name="stock_balance_lying", condition=Q(quantity__gt=0)
            )
        ]

    def __str__(self) -> str:
        return f"{self.quantity} of {self.lot} in {self.place}"


class Posting(models.Model):
    """Movements that were booked together, under one key; the same key twice is one posting."""

    append_only = True

    key = models.UUIDField(unique=True)
    digest = models.CharField("hash of the inputs", max_length=64)
    kind = models.CharField(max_length=8, choices=PostingKind.choices)
    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, null=True, related_name="+")
    day = models.DateField()
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    reason = models.CharField(max_length=200, blank=True)
    reverses = models.OneToOneField(
        "self", on_delete=models.PROTECT, null=True, related_name="reversed_by"
    )

    objects = PostingQuerySet.as_manager()

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [one_of("kind", PostingKind, name="stock_posting_kind")]
        indexes = [
            models.Index(fields=["job", "kind"], name="stock_posting_job"),
            models.Index(fields=["-at", "-id"], name="stock_posting_latest"),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.day}"


class Movement(models.Model):
    """So much of one lot from one place to another; written once."""

    append_only = True

    posting = models.ForeignKey(Posting, on_delete=models.PROTECT, related_name="movements")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="movements")
    quantity = BaseUnitField()
    from_place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="movements_out")
    to_place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="movements_in")
    # What this movement posted to its job: set on issue and return only.
    cost = PenceField(null=True)

    objects = MovementQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            more_than("quantity", 0, name="stock_movement_some"),
            models.CheckConstraint(
                condition=~Q(from_place=F("to_place")), name="stock_movement_goes_somewhere"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} of {self.lot}"


class KeptBack(models.Model):
    """Part of a lot kept for call-backs of the job that was laid from its run, until a day.

    It counts in `Lot.reserved`, so that no job is offered it and the lot's guard covers it.
    """

    key = models.UUIDField(unique=True)
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="kept_back")
    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, related_name="+")
    quantity = BaseUnitField()
    until = models.DateField("kept until")
    note = models.CharField(max_length=200, blank=True)
    kept_at = models.DateTimeField()
    kept_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    released_at = models.DateTimeField(null=True)
    released_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    released_because = models.CharField(max_length=200, blank=True)

    objects = KeptBackQuerySet.as_manager()

    class Meta:
        ordering = ["until", "pk"]
        constraints = [
            more_than("quantity", 0, name="stock_keptback_some"),
            models.CheckConstraint(
                condition=Q(released_at=None, released_because="")
                | (Q(released_at__isnull=False) & ~Q(released_because="")),
                name="stock_keptback_release_says_why",
            ),
        ]
        indexes = [models.Index(fields=["lot", "released_at"], name="stock_keptback_open")]

    def __str__(self) -> str:
        return f"{self.lot} kept back for {self.job.reference}"

    def get_absolute_url(self) -> str:
        return self.lot.get_absolute_url()

    @property
    def audit_name(self) -> str:
        """How events name this row."""
        return f"{self.lot} for {self.job.reference}"
