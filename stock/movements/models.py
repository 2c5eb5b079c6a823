"""The paper with which waste left the yard."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from jobs.kernel.fields import one_of
from stock.ledger.models import Posting
from stock.movements.enums import NoteKind


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
