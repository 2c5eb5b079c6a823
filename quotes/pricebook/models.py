"""The price book: work items from first principles, and the firm's rates, each from a day on."""

from __future__ import annotations

from decimal import Decimal

from django.db import models
from django.db.models import Q
from django.urls import reverse

from jobs.kernel.fields import PenceField, at_least, one_of
from quotes.pricebook.enums import Measure, Unit
from quotes.pricebook.querysets import DatedQuerySet, WorkItemQuerySet


class WorkItem(models.Model):
    """A piece of work with a unit: lift and cart away, sub-base, edging, lay surface."""

    code = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=100)
    unit = models.CharField(max_length=4, choices=Unit.choices)
    measure = models.CharField(max_length=4, choices=Measure.choices, default=Measure.NONE)
    # The labour of laying comes with the surfacing line, which the take-off prices.
    is_surface = models.BooleanField("labour of the surfacing line", default=False)
    archived_at = models.DateTimeField(null=True, blank=True)

    objects = WorkItemQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            one_of("unit", Unit, name="quotes_workitem_unit"),
            one_of("measure", Measure, name="quotes_workitem_measure"),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("pricebook:detail", args=[self.pk])


class WorkItemRate(models.Model):
    """What one unit of a work item takes, from a day on: hours, plant, bought-in material."""

    work_item = models.ForeignKey(WorkItem, on_delete=models.PROTECT, related_name="rates")
    valid_from = models.DateField()
    labour_hours = models.DecimalField(max_digits=8, decimal_places=4, default=Decimal(0))
    plant = models.DecimalField(
        "plant (£ a unit)", max_digits=10, decimal_places=4, default=Decimal(0)
    )
    material = models.DecimalField(
        "material (£ a unit)", max_digits=10, decimal_places=4, default=Decimal(0)
    )
    # Stock that the work takes from the yard, e.g. edging by the metre.
    stock_item = models.ForeignKey(
        "stock.Item", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    stock_per_unit = models.PositiveIntegerField("base units of it a unit", default=0)
    waste_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(0))

    objects = DatedQuerySet.as_manager()

    class Meta:
        ordering = ["-valid_from"]
        constraints = [
            models.UniqueConstraint(
                fields=["work_item", "valid_from"], name="quotes_workitemrate_from"
            ),
            at_least("labour_hours", Decimal(0), name="quotes_workitemrate_hours"),
            at_least("plant", Decimal(0), name="quotes_workitemrate_plant"),
            at_least("material", Decimal(0), name="quotes_workitemrate_material"),
            models.CheckConstraint(
                condition=Q(stock_item=None, stock_per_unit=0)
                | Q(stock_item__isnull=False, stock_per_unit__gt=0),
                name="quotes_workitemrate_stock_with_quantity",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.work_item} from {self.valid_from}"


class FirmRates(models.Model):
    """The firm's own rates from a day on: labour, overhead, margin, charges and tax."""

    valid_from = models.DateField(unique=True)
    labour_hourly = models.DecimalField("labour (£ an hour)", max_digits=10, decimal_places=4)
    overhead_percent = models.DecimalField(
        "overhead (% of direct cost)", max_digits=5, decimal_places=2
    )
    margin_percent = models.DecimalField(
        "margin (% of the price before VAT)", max_digits=5, decimal_places=2
    )
    vat_percent = models.DecimalField(
        "VAT (%)", max_digits=5, decimal_places=2, default=Decimal(20)
    )
    waste_percent = models.DecimalField(
        "waste (%)", max_digits=5, decimal_places=2, default=Decimal(5)
    )
    deposit_percent = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(25))
    minimum_charge = PenceField(default=0)
    validity_days = models.PositiveSmallIntegerField("quotes hold (days)", default=30)

    objects = DatedQuerySet.as_manager()

    class Meta:
        ordering = ["-valid_from"]
        constraints = [
            models.CheckConstraint(
                condition=Q(margin_percent__gte=0, margin_percent__lt=100),
                name="quotes_firmrates_margin_below_100",
            ),
            at_least("overhead_percent", Decimal(0), name="quotes_firmrates_overhead"),
            at_least("labour_hourly", Decimal(0), name="quotes_firmrates_labour"),
            models.CheckConstraint(
                condition=Q(deposit_percent__gte=0, deposit_percent__lte=100),
                name="quotes_firmrates_deposit",
            ),
        ]

    def __str__(self) -> str:
        return f"rates from {self.valid_from}"
