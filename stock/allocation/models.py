"""What jobs need and which lots are kept for them."""

from __future__ import annotations

from django.conf import settings
from django.db import models

from jobs.kernel.fields import BaseUnitField, at_least, more_than, one_of
from stock.allocation.enums import NeededFor
from stock.allocation.querysets import RequirementQuerySet, ReservationQuerySet
from stock.catalogue.models import Item
from stock.ledger.models import Lot


class Requirement(models.Model):
    """So much of one item that a won job needs, for one colour group and one phase."""

    job = models.ForeignKey("jobs.Job", on_delete=models.PROTECT, related_name="+")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="requirements")
    colour_group = models.CharField(max_length=40, blank=True)
    phase = models.CharField(max_length=8, choices=NeededFor.choices)
    quantity = BaseUnitField()
    # What was issued for it, less what came back; kept by the movement services.
    issued = BaseUnitField(default=0)
    created_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)

    objects = RequirementQuerySet.as_manager()

    class Meta:
        ordering = ["job_id", "phase", "item_id"]
        constraints = [
            one_of("phase", NeededFor, name="stock_requirement_phase"),
            at_least("quantity", 0, name="stock_requirement_quantity"),
            at_least("issued", 0, name="stock_requirement_issued"),
            models.UniqueConstraint(
                fields=["job", "item", "colour_group", "phase"], name="stock_requirement_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} of {self.item}"


class Reservation(models.Model):
    """Part of a lot kept for a requirement; only these count against the lot, never a proposal."""

    requirement = models.ForeignKey(
        Requirement, on_delete=models.PROTECT, related_name="reservations"
    )
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="reservations")
    quantity = BaseUnitField()
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    # Picked, labelled or pinned: such a reservation does not move by itself.
    picked_at = models.DateTimeField(null=True, blank=True)
    labelled_at = models.DateTimeField(null=True, blank=True)
    pinned = models.BooleanField(default=False)

    objects = ReservationQuerySet.as_manager()

    class Meta:
        ordering = ["requirement_id", "pk"]
        constraints = [
            more_than("quantity", 0, name="stock_reservation_some"),
            models.UniqueConstraint(
                fields=["requirement", "lot"], name="stock_reservation_once_a_lot"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} of {self.lot}"
