"""Suppliers: how and by when they can be ordered from, when they deliver, and their prices."""

from __future__ import annotations

from decimal import Decimal

from django.db import models
from django.urls import reverse

from jobs.kernel.fields import PenceField, at_least, more_than, one_of
from stock.catalogue.models import Item
from stock.suppliers.enums import ChannelKind, SupplierCalendar
from stock.suppliers.querysets import (
    ChannelChargeQuerySet,
    SupplierPriceQuerySet,
    SupplierQuerySet,
)


class Supplier(models.Model):
    """A firm we buy from. Weekday strings hold 1 for open, Monday first: '1111100'."""

    name = models.CharField(max_length=80, unique=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=30, blank=True)
    account_number = models.CharField("our account there", max_length=30, blank=True)
    clock = models.CharField("their clock", max_length=40, default="Europe/London")
    works = models.CharField("working days", max_length=7, default="1111100")
    delivers = models.CharField("delivery days", max_length=7, default="1111100")
    claim_days = models.PositiveSmallIntegerField("days to claim damage", default=1)
    notes = models.TextField(blank=True, max_length=1000)
    archived_at = models.DateTimeField(null=True, blank=True)

    objects = SupplierQuerySet.as_manager()

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("suppliers:detail", args=[self.pk])


class SupplierClosedDay(models.Model):
    """A day on which a supplier does not work or does not deliver, beside the usual week."""

    supplier = models.ForeignKey(Supplier, on_delete=models.CASCADE, related_name="closed_days")
    calendar = models.CharField(max_length=8, choices=SupplierCalendar.choices)
    day = models.DateField()
    reason = models.CharField(max_length=60)

    class Meta:
        ordering = ["day"]
        constraints = [
            one_of("calendar", SupplierCalendar, name="stock_supplierclosedday_calendar"),
            models.UniqueConstraint(
                fields=["supplier", "calendar", "day"], name="stock_supplierclosedday_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.supplier} {self.day}"


class Channel(models.Model):
    """One way to order from a supplier, and its lead in working days; see `ChannelCharge`."""

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="channels")
    kind = models.CharField(max_length=10, choices=ChannelKind.choices)
    lead_days = models.PositiveSmallIntegerField("lead (working days)")

    class Meta:
        ordering = ["supplier_id", "kind"]
        constraints = [
            one_of("kind", ChannelKind, name="stock_channel_kind"),
            models.UniqueConstraint(fields=["supplier", "kind"], name="stock_channel_once"),
        ]

    def __str__(self) -> str:
        return f"{self.supplier}, {self.get_kind_display()}"


class ChannelCharge(models.Model):
    """What a channel charges from a day on, until its next row: carriage, and its least order."""

    channel = models.ForeignKey(Channel, on_delete=models.CASCADE, related_name="charges")
    valid_from = models.DateField()
    carriage = PenceField("carriage", default=0)
    minimum = PenceField("least order", default=0)
    # Goods from which an order is brought free; empty: never.
    free_from = PenceField("carriage free from", null=True, blank=True)

    objects = ChannelChargeQuerySet.as_manager()

    class Meta:
        ordering = ["channel_id", "-valid_from"]
        constraints = [
            at_least("carriage", 0, name="stock_channelcharge_carriage"),
            at_least("minimum", 0, name="stock_channelcharge_minimum"),
            at_least("free_from", 0, name="stock_channelcharge_free_from"),
            models.UniqueConstraint(
                fields=["channel", "valid_from"], name="stock_channelcharge_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.channel} from {self.valid_from}"


class Cutoff(models.Model):
    """The last second of a weekday at which an order on a channel still counts that day."""

    channel = models.ForeignKey(Channel, on_delete=models.CASCADE, related_name="cutoffs")
    weekday = models.PositiveSmallIntegerField(help_text="Monday is 0")
    wall_time = models.TimeField()

    class Meta:
        ordering = ["weekday"]
        constraints = [
            models.CheckConstraint(condition=models.Q(weekday__lte=6), name="stock_cutoff_weekday"),
            models.UniqueConstraint(fields=["channel", "weekday"], name="stock_cutoff_once"),
        ]

    def __str__(self) -> str:
        return f"{self.channel} {self.weekday} {self.wall_time}"


class SupplierPrice(models.Model):
    """What a pack costs from a supplier from a day on, and from how many packs."""

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="prices")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="prices")
    valid_from = models.DateField()
    from_packs = models.PositiveIntegerField(default=1)
    pack_price = models.DecimalField("price of a pack (£)", max_digits=10, decimal_places=4)
    supplier_code = models.CharField(max_length=30, blank=True)

    objects = SupplierPriceQuerySet.as_manager()

    class Meta:
        ordering = ["item_id", "supplier_id", "-valid_from", "from_packs"]
        constraints = [
            more_than("from_packs", 0, name="stock_supplierprice_from_packs"),
            at_least("pack_price", Decimal(0), name="stock_supplierprice_price"),
            models.UniqueConstraint(
                fields=["supplier", "item", "valid_from", "from_packs"],
                name="stock_supplierprice_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.item} from {self.supplier}"
