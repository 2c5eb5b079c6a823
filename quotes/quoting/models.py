"""Quotes: numbered revisions, frozen when sent, with their lines and what they cost us."""

from __future__ import annotations

import uuid
from collections.abc import Sequence
from decimal import Decimal

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from jobs.kernel.fields import PenceField, at_least, more_than, one_of
from quotes.pricebook.enums import Unit
from quotes.pricebook.models import WorkItem
from quotes.quoting.enums import LineKind, RevisionState, VatCode
from quotes.quoting.querysets import LineQuerySet, RevisionQuerySet


class Quote(models.Model):
    """The quote of a job; its row is the lock for its revisions."""

    job = models.OneToOneField("jobs.Job", on_delete=models.PROTECT, related_name="+")
    # Given when the first revision is sent, never used again.
    reference = models.CharField(max_length=20, unique=True, null=True, blank=True)
    created_at = models.DateTimeField()

    class Meta:
        ordering = ["-created_at", "-pk"]

    def __str__(self) -> str:
        return self.reference or "quote in draft"


class Revision(models.Model):
    """One state of a quote. A draft is worked out from its lines; a sent one is frozen.

    Sums are in pounds: direct cost, overhead, floor = direct + overhead, net price, VAT, gross.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True)
    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="revisions")
    # None: small jobs alone, priced without measuring.
    survey = models.ForeignKey(
        "jobs.Survey", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    number = models.PositiveSmallIntegerField(default=1)
    state = models.CharField(
        max_length=8, choices=RevisionState.choices, default=RevisionState.DRAFT
    )
    priced_on = models.DateField(help_text="prices of this day were used")
    valid_until = models.DateField(null=True, blank=True)
    overhead_percent = models.DecimalField(max_digits=5, decimal_places=2)
    margin_percent = models.DecimalField(max_digits=5, decimal_places=2)
    deposit_percent = models.DecimalField(max_digits=5, decimal_places=2)
    # Stages after the deposit: [{words, percent, amount}], the last with neither; []: the rest when
    # the work is done.
    payment_plan = models.JSONField(default=list, blank=True)
    vat_code = models.CharField(max_length=8, choices=VatCode.choices, default=VatCode.STANDARD)
    vat_percent = models.DecimalField(max_digits=5, decimal_places=2)
    vat_reason = models.CharField(
        "reason and document for another rate", max_length=200, blank=True
    )
    # The attachment that shows why the rate is another one.
    vat_document = models.UUIDField(null=True, blank=True)
    # A share of the price, or a sum; not both.
    discount_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(0))
    discount_fixed = PenceField("discount", default=0)
    crew_size = models.PositiveSmallIntegerField("people on site", default=2)
    day_hours = models.DecimalField(
        "hours of a day on site", max_digits=4, decimal_places=2, default=Decimal(8)
    )
    # What the crew's pace lays in a day, from the take-off; None where it does not say.
    pace_m2 = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    # What the customer was shown, so that it can be held against what is quoted.
    sample_blend = models.ForeignKey(
        "stock.Blend", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    sample_shown_on = models.DateField(null=True, blank=True)
    sample_signed_by = models.CharField(max_length=120, blank=True)
    direct = PenceField("direct cost", default=0)
    overhead = PenceField(default=0)
    net = PenceField("price before VAT", default=0)
    vat = PenceField("VAT", default=0)
    gross = PenceField("price with VAT", default=0)
    exclusions = models.TextField(blank=True, max_length=4000)
    terms = models.TextField(blank=True, max_length=8000)
    message = models.TextField("words to the customer", blank=True, max_length=2000)
    # Frozen at sending: inputs, take-off, lines and words, with schema and engine version.
    snapshot = models.JSONField(null=True, blank=True)
    engine_version = models.CharField(max_length=20, blank=True)
    sent_to = models.EmailField(blank=True)
    # Hash of the take-off that the lines were drafted from, so that a changed survey is noticed.
    inputs_digest = models.CharField(max_length=64, blank=True)
    pdf_uid = models.UUIDField("attachment with the PDF", null=True, blank=True)
    pdf_digest = models.CharField(max_length=64, blank=True)
    # Who brings what for it, and what is bought beyond the need; {} where nothing is bought.
    purchase = models.JSONField(default=dict, blank=True)
    created_at = models.DateTimeField()
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="+"
    )
    sent_at = models.DateTimeField(null=True, blank=True)
    sent_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    closed_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = RevisionQuerySet.as_manager()

    # The lines as they were just reckoned, so that the page that asked need not read them again.
    reckoned_lines: Sequence[Line] | None = None

    class Meta:
        ordering = ["quote_id", "-number"]
        constraints = [
            one_of("state", RevisionState, name="quotes_revision_state"),
            one_of("vat_code", VatCode, name="quotes_revision_vat_code"),
            models.UniqueConstraint(fields=["quote", "number"], name="quotes_revision_number"),
            models.UniqueConstraint(
                fields=["quote"], condition=Q(state="accepted"), name="quotes_revision_one_accepted"
            ),
            models.CheckConstraint(
                condition=Q(gross=F("net") + F("vat")), name="quotes_revision_adds_up"
            ),
            models.CheckConstraint(
                condition=Q(margin_percent__gte=0, margin_percent__lt=100),
                name="quotes_revision_margin_below_100",
            ),
            models.CheckConstraint(
                condition=Q(vat_code="standard") | ~Q(vat_reason=""),
                name="quotes_revision_other_rate_says_why",
            ),
            models.CheckConstraint(
                condition=Q(state="draft")
                | Q(sent_at__isnull=False, snapshot__isnull=False, valid_until__isnull=False),
                name="quotes_revision_sent_is_frozen",
            ),
            models.CheckConstraint(
                condition=Q(discount_percent=0, discount_fixed__gte=0)
                | Q(discount_percent__gt=0, discount_percent__lte=100, discount_fixed=0),
                name="quotes_revision_one_discount",
            ),
            at_least("crew_size", 1, name="quotes_revision_crew"),
            more_than("day_hours", 0, name="quotes_revision_day"),
            models.CheckConstraint(
                condition=Q(sample_blend=None, sample_shown_on=None, sample_signed_by="")
                | Q(sample_blend__isnull=False, sample_shown_on__isnull=False),
                name="quotes_revision_sample_with_its_day",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quote} revision {self.number}"

    def get_absolute_url(self) -> str:
        return reverse("quoting:detail", args=[self.pk])

    @property
    def is_draft(self) -> bool:
        """Whether it can still be changed."""
        return self.state == RevisionState.DRAFT

    @property
    def floor(self) -> Decimal:
        """Below this price the job loses money."""
        floor: Decimal = self.direct + self.overhead
        return floor


class Line(models.Model):
    """One line: what, how much, what it costs us and what it is sold for before VAT."""

    revision = models.ForeignKey(Revision, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=11, choices=LineKind.choices)
    work_item = models.ForeignKey(
        WorkItem, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    words = models.CharField(max_length=200)
    quantity = models.DecimalField(max_digits=12, decimal_places=3)
    unit = models.CharField(max_length=4, choices=Unit.choices)
    # The colour group that a surfacing line covers.
    colour_group = models.CharField(max_length=40, blank=True)
    # The quantity is the survey's; a typed one is nobody's but the writer's.
    measured = models.BooleanField(default=False)
    labour_hours = models.DecimalField(max_digits=10, decimal_places=2, default=Decimal(0))
    # Direct cost by kind, in pounds; they add up to `direct`.
    labour = PenceField(default=0)
    plant = PenceField(default=0)
    materials = PenceField(default=0)
    other = PenceField(default=0)
    direct = PenceField(default=0)
    # A price that was typed, and is not reckoned from the cost.
    fixed = PenceField("fixed price before VAT", null=True, blank=True)
    net = PenceField("price before VAT", default=0)
    # How the figures came about, for the workings page and for the budget.
    workings = models.JSONField(default=list)
    stock = models.JSONField(default=list, help_text="[{item, quantity, colour_group, phase}]")
    # What the line was reckoned from, so that it can be reckoned again: miles, days, depth.
    asked = models.JSONField(default=dict, blank=True)
    caution = models.CharField("what to know about it", max_length=300, blank=True)
    chosen = models.BooleanField("option taken", default=False)

    objects = LineQuerySet.as_manager()

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            one_of("kind", LineKind, name="quotes_line_kind"),
            one_of("unit", Unit, name="quotes_line_unit"),
            at_least("quantity", Decimal(0), name="quotes_line_quantity"),
            models.CheckConstraint(
                condition=Q(direct=F("labour") + F("plant") + F("materials") + F("other")),
                name="quotes_line_direct_adds_up",
            ),
            # Minimum and discount are one line each.
            models.UniqueConstraint(
                fields=["revision", "kind"],
                condition=Q(kind__in=LineKind.OWN),
                name="quotes_line_own_once",
            ),
        ]

    def __str__(self) -> str:
        return self.words
