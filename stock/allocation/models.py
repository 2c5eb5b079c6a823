"""What jobs need, which lots are kept for them, and what a better division would change."""

from __future__ import annotations

import uuid

from django.conf import settings
from django.db import models
from django.urls import reverse

from jobs.kernel.fields import BaseUnitField, at_least, more_than, one_of
from stock.allocation.enums import NeededFor, ProposalMethod, ProposalState
from stock.allocation.querysets import (
    ProposalLineQuerySet,
    RequirementQuerySet,
    ReservationQuerySet,
)
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


class StoodIn(models.Model):
    """How much of a lot of another item was issued for a requirement, less what came back.

    Written when it is issued, so that it is known whatever the catalogue says later. It is part of
    the requirement's `issued`. At nothing the row stays: an undone return counts on it again.
    """

    requirement = models.ForeignKey(Requirement, on_delete=models.PROTECT, related_name="stood_in")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="stood_in")
    quantity = BaseUnitField(default=0)

    class Meta:
        ordering = ["requirement_id", "pk"]
        constraints = [
            at_least("quantity", 0, name="stock_stoodin_quantity"),
            models.UniqueConstraint(fields=["requirement", "lot"], name="stock_stoodin_once_a_lot"),
        ]

    def __str__(self) -> str:
        return f"{self.quantity} of {self.lot} for {self.requirement.item}"


class Proposal(models.Model):
    """What reckoning all jobs of the horizon together would change; no reservation until taken.

    The greedy one is there at once; the exact one is a row that a worker claims. Whole figures of
    before and after are kept as they were reckoned; the lines are rows, so that one job's can be
    taken over.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True)
    method = models.CharField(max_length=6, choices=ProposalMethod.choices)
    state = models.CharField(
        max_length=7, choices=ProposalState.choices, default=ProposalState.DUE
    )  # fmt: skip
    on = models.DateField()
    days = models.PositiveSmallIntegerField("days looked ahead")
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    claimed_at = models.DateTimeField(null=True, blank=True)
    finished_at = models.DateTimeField(null=True, blank=True)
    done = models.PositiveIntegerField(default=0)
    parts = models.PositiveIntegerField(default=0)
    proven = models.BooleanField("proven to be the best", default=False)
    bettered = models.BooleanField("better than job by job", default=False)
    figures = models.JSONField(default=dict, blank=True)
    unmet = models.JSONField(default=list, blank=True)
    error = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-asked_at", "method"]
        constraints = [
            one_of("method", ProposalMethod, name="stock_proposal_method"),
            one_of("state", ProposalState, name="stock_proposal_state"),
        ]
        indexes = [models.Index(fields=["state", "asked_at"], name="stock_proposal_state_asked")]

    def __str__(self) -> str:
        return f"Proposal of {self.on}"

    def get_absolute_url(self) -> str:
        return reverse("allocation:proposal")


class ProposalLine(models.Model):
    """What one requirement would have of one lot, beside what it has now."""

    proposal = models.ForeignKey(Proposal, on_delete=models.CASCADE, related_name="lines")
    requirement = models.ForeignKey(Requirement, on_delete=models.PROTECT, related_name="+")
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="+")
    before = BaseUnitField("reserved now", default=0)
    after = BaseUnitField("proposed", default=0)
    # What the requirement lacked and held movable when this was reckoned: other than that, stale.
    wanted = BaseUnitField()
    why = models.CharField(max_length=400, blank=True)
    substitute = models.BooleanField("stands in for the item", default=False)
    # Jobs that swap lots can only be taken over together; they share a number.
    bundle = models.PositiveIntegerField(default=0)
    taken_at = models.DateTimeField(null=True, blank=True)

    objects = ProposalLineQuerySet.as_manager()

    class Meta:
        ordering = ["pk"]
        constraints = [
            at_least("before", 0, name="stock_proposalline_before"),
            at_least("after", 0, name="stock_proposalline_after"),
            models.UniqueConstraint(
                fields=["proposal", "requirement", "lot"], name="stock_proposalline_once"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.after} of {self.lot}"

    @property
    def change(self) -> str:
        """What it would do, in a word."""
        if self.before == self.after:
            return "stays"
        if self.after == 0:
            return "given up"
        if self.before == 0:
            return "new"
        return "more" if self.after > self.before else "less"
