"""The paper with which waste left the yard, and tins that are no kit."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from jobs.kernel.fields import BaseUnitField, at_least, more_than, one_of
from stock.catalogue.models import Item, Place
from stock.ledger.models import Lot, Posting
from stock.movements.enums import NoteKind, Part


class WasteNote(models.Model):
    """A transfer or consignment note: which waste went with it, who carried it, and where to."""

    key = models.UUIDField(unique=True)
    kind = models.CharField(max_length=11, choices=NoteKind.choices, default=NoteKind.TRANSFER)
    number = models.CharField("number of the note", max_length=40)
    carrier = models.CharField(max_length=120)
    registration = models.CharField("the carrier's registration", max_length=40)
    taken_to = models.CharField("taken to", max_length=200)
    taken_on = models.DateField()
    words = models.CharField("what it is, with its waste code", max_length=300)
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    voided_at = models.DateTimeField(null=True, blank=True)
    voided_because = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-taken_on", "-pk"]
        constraints = [
            one_of("kind", NoteKind, name="stock_wastenote_kind"),
            models.CheckConstraint(
                condition=Q(voided_at=None, voided_because="")
                | (Q(voided_at__isnull=False) & ~Q(voided_because="")),
                name="stock_wastenote_void_says_why",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.number}"

    def get_absolute_url(self) -> str:
        return reverse("movements:note", args=[self.pk])


class WasteNoteLine(models.Model):
    """One posting of waste on a note; a posting goes with one note only."""

    note = models.ForeignKey(WasteNote, on_delete=models.PROTECT, related_name="lines")
    posting = models.OneToOneField(Posting, on_delete=models.PROTECT, related_name="waste_line")

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.posting} on {self.note}"


class Tin(models.Model):
    """Tins of one part of a kit without the other: no kit, no stock, until they are paired.

    They are counted here and nowhere else; `left` falls as they are paired or scrapped.
    """

    key = models.UUIDField(unique=True)
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="tins")
    part = models.CharField(max_length=1, choices=Part.choices)
    batch = models.CharField(max_length=30, blank=True)
    expiry = models.DateField("use by", null=True, blank=True)
    place = models.ForeignKey(Place, on_delete=models.PROTECT, related_name="+")
    count = BaseUnitField()
    left = BaseUnitField()
    why = models.CharField("why they have no other part", max_length=200)
    # The lot whose kits were broken up, where it was one.
    lot = models.ForeignKey(
        Lot, on_delete=models.PROTECT, null=True, blank=True, related_name="tins"
    )
    at = models.DateTimeField()
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            one_of("part", Part, name="stock_tin_part"),
            more_than("count", 0, name="stock_tin_count"),
            at_least("left", 0, name="stock_tin_left"),
            models.CheckConstraint(
                condition=Q(left__lte=F("count")), name="stock_tin_left_of_count"
            ),
        ]

    def __str__(self) -> str:
        return f"part {self.part} of {self.item}" + (f", batch {self.batch}" if self.batch else "")
