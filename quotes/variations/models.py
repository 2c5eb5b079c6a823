"""Changes agreed after a quote was accepted: numbered, frozen when sent, signed like the quote."""

from __future__ import annotations

import uuid
from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from jobs.kernel.fields import PenceField, at_least, more_than, one_of
from quotes.acceptance.models import AnswerModel, LinkModel
from quotes.pricebook.enums import Unit
from quotes.pricebook.models import WorkItem
from quotes.quoting.models import Line, Revision
from quotes.variations.enums import ChangeKind, VariationState


class Variation(models.Model):
    """One change of an accepted quote. A draft is worked out from its lines; a sent one is frozen.

    Sums are in pounds and may be below nought: what is left out is paid back. `charges` is what
    cannot be returned and what suppliers take for taking back; it is part of `direct` and `net`.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True)
    # The accepted revision; the row of its quote is the lock for all its variations.
    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="variations")
    # Given when it is sent: V1, V2, … of the quote, never used again.
    number = models.PositiveSmallIntegerField(null=True, blank=True)
    replaces = models.ForeignKey(
        "self", on_delete=models.PROTECT, null=True, blank=True, related_name="replaced_by"
    )
    state = models.CharField(
        max_length=9, choices=VariationState.choices, default=VariationState.DRAFT
    )
    title = models.CharField("what changes", max_length=120)
    words = models.TextField("words to the customer", blank=True, max_length=4000)
    days_added = models.SmallIntegerField("days more on site", default=0)
    restocking_percent = models.DecimalField(
        "suppliers take for taking back", max_digits=5, decimal_places=2, default=Decimal(0)
    )
    charge_kept = models.BooleanField("charge what cannot be returned", default=True)
    valid_until = models.DateField()
    priced_on = models.DateField()
    direct = PenceField("direct cost", default=0)
    overhead = PenceField(default=0)
    restocking = PenceField("taking back", default=0)
    kept_material = PenceField("material that cannot be returned", default=0)
    net = PenceField("change before VAT", default=0)
    vat = PenceField("VAT", default=0)
    gross = PenceField("change with VAT", default=0)
    # The last moment to order what it adds, frozen at sending.
    order_by = models.DateTimeField(null=True, blank=True)
    snapshot = models.JSONField(null=True, blank=True)
    sent_to = models.EmailField(blank=True)
    pdf_uid = models.UUIDField("attachment with the PDF", null=True, blank=True)
    pdf_digest = models.CharField(max_length=64, blank=True)
    drawing_at = models.DateTimeField(null=True, blank=True)
    drawing_error = models.CharField(max_length=300, blank=True)
    created_at = models.DateTimeField()
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    sent_at = models.DateTimeField(null=True, blank=True)
    sent_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    closed_at = models.DateTimeField(null=True, blank=True)
    decline_reason = models.CharField(max_length=300, blank=True)
    # What was booked for the job when it was accepted: phase -> half-days; null: not kept yet.
    booked_then = models.JSONField("half-days booked at acceptance", null=True, blank=True)
    # Somebody said that its days need no change of the booking.
    days_settled_at = models.DateTimeField(null=True, blank=True)
    days_settled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    days_settled_why = models.CharField(max_length=300, blank=True, default="")
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["revision_id", "-created_at", "-pk"]
        constraints = [
            one_of("state", VariationState, name="quotes_variation_state"),
            models.UniqueConstraint(fields=["revision", "number"], name="quotes_variation_number"),
            models.CheckConstraint(
                condition=Q(gross=F("net") + F("vat")), name="quotes_variation_adds_up"
            ),
            models.CheckConstraint(
                condition=Q(state="draft", number=None)
                | Q(number__isnull=False, sent_at__isnull=False, snapshot__isnull=False),
                name="quotes_variation_sent_is_frozen",
            ),
            models.CheckConstraint(
                condition=Q(restocking_percent__gte=0, restocking_percent__lte=100),
                name="quotes_variation_restocking_percent",
            ),
            models.CheckConstraint(
                condition=Q(days_settled_at=None, days_settled_why="")
                | Q(days_settled_at__isnull=False) & ~Q(days_settled_why=""),
                name="quotes_variation_days_settled_says_why",
            ),
            at_least("restocking", 0, name="quotes_variation_restocking"),
            at_least("kept_material", 0, name="quotes_variation_kept_material"),
        ]

    def __str__(self) -> str:
        return f"{self.revision.quote} {self.label}"

    def get_absolute_url(self) -> str:
        return reverse("variations:detail", args=[self.pk])

    @property
    def label(self) -> str:
        """How it is called: 'V1', or that it is a draft."""
        return f"V{self.number}" if self.number else "variation in draft"

    @property
    def is_draft(self) -> bool:
        """Whether it can still be changed."""
        return self.state == VariationState.DRAFT


class ChangeLine(models.Model):
    """One line of a variation: quantity above nought, figures signed by what it does."""

    variation = models.ForeignKey(Variation, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=4, choices=ChangeKind.choices)
    # The quote's line of which there is less or more, at the price agreed for it.
    line = models.ForeignKey(
        Line, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    work_item = models.ForeignKey(
        WorkItem, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    words = models.CharField(max_length=200)
    quantity = models.DecimalField(max_digits=12, decimal_places=3)
    unit = models.CharField(max_length=4, choices=Unit.choices)
    labour_hours = models.DecimalField(max_digits=10, decimal_places=2, default=Decimal(0))
    labour = PenceField(default=0)
    plant = PenceField(default=0)
    materials = PenceField(default=0)
    other = PenceField(default=0)
    direct = PenceField(default=0)
    fixed = PenceField("fixed price before VAT", null=True, blank=True)
    net = PenceField("price before VAT", default=0)
    stock = models.JSONField(
        default=list, help_text="[{item, quantity, colour_group, phase, cost}]"
    )
    # How the cost of work from the price book came about.
    workings = models.JSONField(default=list, help_text="[{what, how, amount}]")

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            one_of("kind", ChangeKind, name="quotes_changeline_kind"),
            one_of("unit", Unit, name="quotes_changeline_unit"),
            more_than("quantity", Decimal(0), name="quotes_changeline_quantity"),
            models.CheckConstraint(
                condition=Q(direct=F("labour") + F("plant") + F("materials") + F("other")),
                name="quotes_changeline_direct_adds_up",
            ),
            # Less or more is of a line of the quote; other lines are their own.
            models.CheckConstraint(
                condition=Q(kind__in=["less", "more"], line__isnull=False)
                | Q(kind__in=["work", "free"], line=None),
                name="quotes_changeline_of_the_quote",
            ),
        ]

    def __str__(self) -> str:
        return self.words


class VariationLink(LinkModel):
    """A link to one sent variation."""

    variation = models.ForeignKey(Variation, on_delete=models.PROTECT, related_name="links")

    def __str__(self) -> str:
        return f"link to {self.variation}"


class VariationAnswer(AnswerModel):
    """One signature under one variation."""

    variation = models.OneToOneField(Variation, on_delete=models.PROTECT, related_name="answer")

    def __str__(self) -> str:
        return f"{self.variation} accepted by {self.name}"
