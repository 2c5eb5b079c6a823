"""The daily reorder suggestions."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from jobs.kernel.fields import BaseUnitField, more_than, one_of
from stock.catalogue.models import Item
from stock.reorder.enums import SuggestionState
from stock.reorder.querysets import SuggestionQuerySet
from stock.suppliers.models import Channel, Supplier


class ReorderRun(models.Model):
    """One day's reckoning of what to reorder."""

    on = models.DateField(unique=True)
    ran_at = models.DateTimeField()

    class Meta:
        ordering = ["-on"]

    def __str__(self) -> str:
        return f"reorder of {self.on}"


class Suggestion(models.Model):
    """Order so many packs of an item by then, and why; or say that it cannot be met."""

    run = models.ForeignKey(ReorderRun, on_delete=models.CASCADE, related_name="suggestions")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="suggestions")
    supplier = models.ForeignKey(
        Supplier, on_delete=models.PROTECT, null=True, related_name="suggestions"
    )
    channel = models.ForeignKey(
        Channel, on_delete=models.PROTECT, null=True, related_name="suggestions"
    )
    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, null=True, related_name="+")
    colour_group = models.CharField(max_length=40, blank=True)
    quantity = BaseUnitField()
    packs = models.PositiveIntegerField()
    needed_on = models.DateField(null=True)
    order_by = models.DateTimeField(null=True)
    why = models.CharField(max_length=300)
    state = models.CharField(
        max_length=8, choices=SuggestionState.choices, default=SuggestionState.OPEN
    )

    objects = SuggestionQuerySet.as_manager()

    class Meta:
        ordering = ["order_by", "pk"]
        constraints = [
            one_of("state", SuggestionState, name="stock_suggestion_state"),
            more_than("packs", 0, name="stock_suggestion_packs"),
            # An open suggestion names where to order; one that cannot be met names nobody.
            models.CheckConstraint(
                condition=Q(state="no_way", supplier=None, channel=None)
                | (~Q(state="no_way") & Q(supplier__isnull=False, channel__isnull=False)),
                name="stock_suggestion_supplier",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.packs} × {self.item}"
