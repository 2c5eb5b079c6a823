"""Orders, goods-in, and the reminders that go before a cut-off."""

from __future__ import annotations

import uuid
from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from jobs.kernel.fields import BaseUnitField, PenceField, at_least, more_than, one_of
from jobs.kernel.money import round_line
from stock.catalogue.models import Item
from stock.ledger.models import Lot
from stock.ledger.rules import pack_words
from stock.ordering.enums import OrderState, Outcome, ReminderKind, ReminderState, Wrap
from stock.ordering.querysets import (
    GoodsInQuerySet,
    OrderQuerySet,
    ReminderQuerySet,
    ShortageQuerySet,
)
from stock.ordering.rules import packs_for
from stock.ordering.rules.words import ShortFacts, read_moments, short_title
from stock.suppliers.models import Channel, Supplier


class Order(models.Model):
    """An order to a supplier on one channel; its reference is given when it is placed."""

    uid = models.UUIDField(default=uuid.uuid4, unique=True)
    reference = models.CharField(max_length=20, unique=True, null=True, blank=True)
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="orders")
    channel = models.ForeignKey(Channel, on_delete=models.PROTECT, related_name="orders")
    state = models.CharField(max_length=10, choices=OrderState.choices, default=OrderState.DRAFT)
    carriage = PenceField(default=0)
    drafted_at = models.DateTimeField()
    drafted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    placed_at = models.DateTimeField(null=True, blank=True)
    expected_on = models.DateField(null=True, blank=True)
    supplier_reference = models.CharField(max_length=40, blank=True)
    note = models.CharField(max_length=300, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = OrderQuerySet.as_manager()

    class Meta:
        ordering = ["-drafted_at", "-pk"]
        constraints = [
            one_of("state", OrderState, name="stock_order_state"),
            at_least("carriage", 0, name="stock_order_carriage"),
            # A draft has no reference and no moment of placing; whatever was placed has both.
            models.CheckConstraint(
                condition=Q(state="draft", reference=None, placed_at=None)
                | Q(state="cancelled")
                | Q(
                    state__in=["placed", "confirmed", "received"],
                    reference__isnull=False,
                    placed_at__isnull=False,
                ),
                name="stock_order_placed_has_reference",
            ),
        ]

    def __str__(self) -> str:
        return self.reference or f"draft for {self.supplier}"

    def get_absolute_url(self) -> str:
        return reverse("ordering:detail", args=[self.pk])

    @property
    def is_open(self) -> bool:
        """Whether it was placed and something is still to come."""
        return self.state in OrderState.OPEN


class OrderLine(models.Model):
    """Packs of one item on an order, for a job and its colour group, or for the yard."""

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="lines")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="order_lines")
    # Empty for the yard's own stock.
    job = models.ForeignKey(
        "jobs.Job", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    colour_group = models.CharField(max_length=40, blank=True)
    packs = models.PositiveIntegerField()
    pack_price = models.DecimalField(max_digits=10, decimal_places=4)
    one_run = models.BooleanField("all of one run", default=False)
    # Base units, kept by goods-in under the order's lock.
    accepted = BaseUnitField(default=0)
    closed = models.BooleanField(default=False)

    class Meta:
        ordering = ["pk"]
        constraints = [
            more_than("packs", 0, name="stock_orderline_packs"),
            at_least("accepted", 0, name="stock_orderline_accepted"),
            at_least("pack_price", 0, name="stock_orderline_price"),
        ]

    def __str__(self) -> str:
        return f"{self.packs} × {self.item}"

    @property
    def quantity(self) -> int:
        """Base units ordered."""
        quantity: int = self.packs * self.item.pack_quantity
        return quantity

    @property
    def outstanding(self) -> int:
        """Base units still to come."""
        return 0 if self.closed else max(self.quantity - self.accepted, 0)

    @property
    def packs_outstanding(self) -> int:
        """Whole packs still to come."""
        packs: int = self.outstanding // self.item.pack_quantity
        return packs

    @property
    def net(self) -> Decimal:
        """What the line costs, without VAT and carriage."""
        return round_line(self.pack_price * self.packs)


class GoodsIn(models.Model):
    """One delivery against an order."""

    order = models.ForeignKey(Order, on_delete=models.PROTECT, related_name="deliveries")
    key = models.UUIDField(unique=True)
    received_at = models.DateTimeField()
    delivery_note = models.CharField(max_length=40, blank=True)
    carriage = PenceField("carriage charged", default=0)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    claim_by = models.DateField("claim damage by", null=True, blank=True)
    wrap = models.CharField(
        "condition of the wrap", max_length=6, choices=Wrap.choices, blank=True, default=""
    )
    wrap_note = models.CharField("what was seen", max_length=200, blank=True, default="")
    # What it did to its order, so that undoing it puts exactly that back.
    order_was = models.CharField(max_length=10, blank=True, default="")
    closed_lines = models.JSONField(default=list, blank=True)
    undone_at = models.DateTimeField(null=True, blank=True)
    undone_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    undone_because = models.CharField(max_length=200, blank=True, default="")

    objects = GoodsInQuerySet.as_manager()

    class Meta:
        ordering = ["-received_at"]
        constraints = [
            models.CheckConstraint(
                condition=Q(wrap__in=["", *Wrap.values]), name="stock_goodsin_wrap"
            ),
            models.CheckConstraint(
                condition=Q(undone_at=None, undone_because="")
                | (Q(undone_at__isnull=False) & ~Q(undone_because="")),
                name="stock_goodsin_undone_says_why",
            ),
        ]

    def __str__(self) -> str:
        return f"Goods in {self.received_at:%d %b %Y}"

    def get_absolute_url(self) -> str:
        return reverse("ordering:delivery", args=[self.pk])

    @property
    def audit_name(self) -> str:
        """How events name this row."""
        return f"goods in {self.pk} on {self.order}"


class GoodsInLine(models.Model):
    """What came of one order line: good, held, refused, short and over, each apart."""

    goods_in = models.ForeignKey(GoodsIn, on_delete=models.PROTECT, related_name="lines")
    order_line = models.ForeignKey(OrderLine, on_delete=models.PROTECT, related_name="outcomes")
    outcome = models.CharField(max_length=8, choices=Outcome.choices)
    quantity = BaseUnitField()
    lot = models.ForeignKey(
        Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="goods_in_lines"
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            one_of("outcome", Outcome, name="stock_goodsinline_outcome"),
            more_than("quantity", 0, name="stock_goodsinline_some"),
            # What was taken in lies in a lot; what was refused or is missing does not.
            models.CheckConstraint(
                condition=Q(outcome__in=["good", "held", "over"], lot__isnull=False)
                | Q(outcome__in=["refused", "short"], lot=None),
                name="stock_goodsinline_lot_if_taken",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_outcome_display()} {self.quantity}"


class Shortage(models.Model):
    """Something a job lacks and the last moment to order it; recomputed by the sweep.

    One open row for a job, item and colour group; closed when it is met, ordered or no longer
    wanted. `order_by` is the latest of its channels' moments; `channels` holds each of them.
    """

    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, related_name="+")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="shortages")
    colour_group = models.CharField(max_length=40, blank=True)
    phase = models.CharField(max_length=8)
    quantity = BaseUnitField()
    needed_on = models.DateField()
    order_by = models.DateTimeField(null=True)
    channels = models.JSONField(default=list)
    why = models.CharField(max_length=300, blank=True)
    found_at = models.DateTimeField()
    checked_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)
    closed_because = models.CharField(max_length=60, blank=True)

    objects = ShortageQuerySet.as_manager()

    class Meta:
        ordering = ["order_by", "needed_on", "pk"]
        constraints = [
            more_than("quantity", 0, name="stock_shortage_some"),
            models.UniqueConstraint(
                fields=["job", "item", "colour_group", "phase"],
                condition=Q(closed_at=None),
                name="stock_shortage_one_open",
            ),
        ]
        indexes = [models.Index(fields=["closed_at", "order_by"], name="stock_shortage_open")]

    def __str__(self) -> str:
        return f"{self.quantity} of {self.item} for job {self.job_id}"

    @property
    def packs(self) -> int:
        """Whole packs that end it."""
        return packs_for(self.quantity, self.item.pack_quantity)

    @property
    def facts(self) -> ShortFacts:
        """What people are told of it."""
        item = self.item
        packs = pack_words(self.packs * item.pack_quantity, item.pack_quantity, item.pack_name)
        return ShortFacts(
            pk=self.pk,
            title=short_title(packs, item.name, one_run=item.run_matched),
            why=f"{self.job.reference}, {self.why}",
            needed_on=self.needed_on,
            order_by=self.order_by,
            moments=read_moments(self.channels),
        )


class Reminder(models.Model):
    """A message owed to one person about shortages; the row is the truth, the bell hurries it."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    kind = models.CharField(max_length=9, choices=ReminderKind.choices)
    state = models.CharField(max_length=8, choices=ReminderState.choices, default=ReminderState.DUE)
    day = models.DateField()
    due_at = models.DateTimeField()
    handed_at = models.DateTimeField(null=True)
    shortages = models.ManyToManyField(Shortage, related_name="reminders")
    message_uid = models.UUIDField(null=True)
    # Says which occasion this is, so that two sweeps make one reminder.
    occasion = models.CharField(max_length=120, unique=True)

    objects = ReminderQuerySet.as_manager()

    class Meta:
        ordering = ["-due_at", "-pk"]
        constraints = [
            one_of("kind", ReminderKind, name="stock_reminder_kind"),
            one_of("state", ReminderState, name="stock_reminder_state"),
        ]
        indexes = [models.Index(fields=["state", "due_at"], name="stock_reminder_due")]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} for {self.user}"
