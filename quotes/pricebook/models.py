"""The price book: work items from first principles, the firm's rates, plant, ground, small jobs.

Every figure holds from a day on.
Long because: each kind of entry stands beside its dated figures.
"""

from __future__ import annotations

from decimal import Decimal
from typing import ClassVar

from django.db import models
from django.db.models import Q
from django.urls import reverse

from jobs.kernel.fields import PenceField, at_least, more_than, one_of
from quotes.pricebook.enums import BookKind, Measure, Unit
from quotes.pricebook.querysets import BookQuerySet, DatedQuerySet, WorkItemQuerySet


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
    # A machine of the book for so long a unit, at its day rate; beside plant that is typed.
    machine = models.ForeignKey(
        "quotes.Plant", on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    machine_days = models.DecimalField(
        "days of it a unit", max_digits=8, decimal_places=4, default=Decimal(0)
    )
    material = models.DecimalField(
        "material (£ a unit)", max_digits=10, decimal_places=4, default=Decimal(0)
    )
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
                condition=Q(machine=None, machine_days=0)
                | Q(machine__isnull=False, machine_days__gt=0),
                name="quotes_workitemrate_machine_with_days",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.work_item} from {self.valid_from}"


class WorkItemStock(models.Model):
    """What one unit of a work item takes from the yard of one item, e.g. edging by the metre."""

    rate = models.ForeignKey(WorkItemRate, on_delete=models.PROTECT, related_name="stock")
    item = models.ForeignKey("stock.Item", on_delete=models.PROTECT, related_name="+")
    quantity = models.PositiveIntegerField("base units of it a unit")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["rate", "item"], name="quotes_workitemstock_once"),
            more_than("quantity", 0, name="quotes_workitemstock_quantity"),
        ]

    def __str__(self) -> str:
        return f"{self.item} of {self.rate}"


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
    # 45 p: what HMRC lets a person claim for a van or car up to 10,000 miles (memory); the firm's
    # own figure replaces it.
    mile_rate = models.DecimalField(
        "travel (£ a mile)", max_digits=10, decimal_places=4, default=Decimal("0.45")
    )
    # Two people, eight hours: common practice, no source.
    crew_size = models.PositiveSmallIntegerField("people of a crew", default=2)
    day_hours = models.DecimalField(
        "hours of a crew's day", max_digits=4, decimal_places=2, default=Decimal(8)
    )
    # Additions to prime cost; all three, or none: then day-work is priced as other work.
    daywork_labour_percent = models.DecimalField(
        "day-work: on labour (%)", max_digits=5, decimal_places=2, null=True, blank=True
    )
    daywork_plant_percent = models.DecimalField(
        "day-work: on plant (%)", max_digits=5, decimal_places=2, null=True, blank=True
    )
    daywork_material_percent = models.DecimalField(
        "day-work: on material (%)", max_digits=5, decimal_places=2, null=True, blank=True
    )

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
            at_least("mile_rate", Decimal(0), name="quotes_firmrates_mile"),
            at_least("crew_size", 1, name="quotes_firmrates_crew"),
            more_than("day_hours", 0, name="quotes_firmrates_day"),
            models.CheckConstraint(
                condition=Q(
                    daywork_labour_percent=None,
                    daywork_plant_percent=None,
                    daywork_material_percent=None,
                )
                | Q(
                    daywork_labour_percent__gte=0,
                    daywork_plant_percent__gte=0,
                    daywork_material_percent__gte=0,
                ),
                name="quotes_firmrates_daywork_whole",
            ),
        ]

    def __str__(self) -> str:
        return f"rates from {self.valid_from}"

    @property
    def daywork_percents(self) -> tuple[Decimal, Decimal, Decimal] | None:
        """The additions to labour, plant and material of day-work; None where there are none."""
        found = (
            self.daywork_labour_percent, self.daywork_plant_percent, self.daywork_material_percent,
        )  # fmt: skip
        whole = tuple(each for each in found if each is not None)
        return (whole[0], whole[1], whole[2]) if len(whole) == len(found) else None


class Entry(models.Model):
    """What the book's other entries share: a name of their own, and whether they are in use."""

    kind: ClassVar[BookKind]

    name = models.CharField(max_length=100, unique=True)
    archived_at = models.DateTimeField(null=True, blank=True)

    objects = BookQuerySet.as_manager()

    class Meta:
        abstract = True
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("pricebook:entry", args=[self.kind.value, self.pk])


class Plant(Entry):
    """A machine that is hired by the day or the week."""

    kind = BookKind.PLANT

    class Meta(Entry.Meta):
        pass


class PlantRate(models.Model):
    """What a machine's hire costs from a day on (£ before VAT)."""

    entry = models.ForeignKey(Plant, on_delete=models.PROTECT, related_name="rates")
    valid_from = models.DateField()
    day_rate = models.DecimalField("a day (£)", max_digits=10, decimal_places=4)
    week_rate = models.DecimalField(
        "a week (£)", max_digits=10, decimal_places=4, null=True, blank=True
    )
    week_days = models.PositiveSmallIntegerField("days that a week covers", default=5)
    minimum_days = models.PositiveSmallIntegerField("least hire (days)", default=1)
    delivery = models.DecimalField(
        "brought and fetched (£)", max_digits=10, decimal_places=4, default=Decimal(0)
    )

    objects = DatedQuerySet.as_manager()

    class Meta:
        ordering = ["-valid_from"]
        constraints = [
            models.UniqueConstraint(fields=["entry", "valid_from"], name="quotes_plantrate_from"),
            at_least("day_rate", Decimal(0), name="quotes_plantrate_day"),
            at_least("week_rate", Decimal(0), name="quotes_plantrate_week"),
            at_least("minimum_days", 1, name="quotes_plantrate_minimum"),
            at_least("delivery", Decimal(0), name="quotes_plantrate_delivery"),
            models.CheckConstraint(
                condition=Q(week_days__gte=1, week_days__lte=7), name="quotes_plantrate_week_days"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.entry} from {self.valid_from}"


class Ground(Entry):
    """A kind of ground that is dug and carted away."""

    kind = BookKind.GROUND

    class Meta(Entry.Meta):
        pass


class GroundRate(models.Model):
    """How a ground bulks, what it weighs loose, and what carting it costs, from a day on."""

    entry = models.ForeignKey(Ground, on_delete=models.PROTECT, related_name="rates")
    valid_from = models.DateField()
    bulking = models.DecimalField("loose m³ from a solid m³", max_digits=5, decimal_places=3)
    density = models.DecimalField("t a loose m³", max_digits=5, decimal_places=3)
    load_t = models.DecimalField("a load (t)", max_digits=5, decimal_places=2)
    haul = models.DecimalField(
        "a load away (£)", max_digits=10, decimal_places=4, default=Decimal(0)
    )
    tip = models.DecimalField(
        "tipping a tonne (£)", max_digits=10, decimal_places=4, default=Decimal(0)
    )

    objects = DatedQuerySet.as_manager()

    class Meta:
        ordering = ["-valid_from"]
        constraints = [
            models.UniqueConstraint(fields=["entry", "valid_from"], name="quotes_groundrate_from"),
            at_least("bulking", Decimal(1), name="quotes_groundrate_bulking"),
            more_than("density", 0, name="quotes_groundrate_density"),
            more_than("load_t", 0, name="quotes_groundrate_load"),
            at_least("haul", Decimal(0), name="quotes_groundrate_haul"),
            at_least("tip", Decimal(0), name="quotes_groundrate_tip"),
        ]

    def __str__(self) -> str:
        return f"{self.entry} from {self.valid_from}"


class SmallJob(Entry):
    """A small piece of work with a price of its own, added to a quote in one press."""

    kind = BookKind.SMALL

    unit = models.CharField(max_length=4, choices=Unit.choices, default=Unit.EACH)

    class Meta(Entry.Meta):
        constraints = [one_of("unit", Unit, name="quotes_smalljob_unit")]


class SmallJobRate(models.Model):
    """What one piece is sold for before VAT, and what it takes of us, from a day on."""

    entry = models.ForeignKey(SmallJob, on_delete=models.PROTECT, related_name="rates")
    valid_from = models.DateField()
    price = models.DecimalField("price before VAT (£)", max_digits=10, decimal_places=2)
    labour_hours = models.DecimalField(max_digits=8, decimal_places=4, default=Decimal(0))
    plant = models.DecimalField("plant (£)", max_digits=10, decimal_places=4, default=Decimal(0))
    material = models.DecimalField(
        "material (£)", max_digits=10, decimal_places=4, default=Decimal(0)
    )

    objects = DatedQuerySet.as_manager()

    class Meta:
        ordering = ["-valid_from"]
        constraints = [
            models.UniqueConstraint(
                fields=["entry", "valid_from"], name="quotes_smalljobrate_from"
            ),
            at_least("price", Decimal(0), name="quotes_smalljobrate_price"),
            at_least("labour_hours", Decimal(0), name="quotes_smalljobrate_hours"),
            at_least("plant", Decimal(0), name="quotes_smalljobrate_plant"),
            at_least("material", Decimal(0), name="quotes_smalljobrate_material"),
        ]

    def __str__(self) -> str:
        return f"{self.entry} from {self.valid_from}"
