"""A surveyed job with blend, prices and rates: the smallest world to write a quote in."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from jobs.surveys.models import ColourGroup, Survey
from jobs.work.models import Job
from quotes.pricebook.models import (
    FirmRates,
    Ground,
    GroundRate,
    Plant,
    PlantRate,
    SmallJob,
    SmallJobRate,
    WorkItem,
    WorkItemRate,
    WorkItemStock,
)
from quotes.quoting.models import Revision
from quotes.quoting.services import send_revision, start_quote
from quotes.takeoff.models import BlendChoice
from stock.catalogue.models import Blend, Item
from stock.suppliers.models import Supplier
from tests.factories import (
    AT,
    make_area,
    make_blend,
    make_customer,
    make_edging,
    make_job,
    make_kit,
    make_price,
    make_sand,
    make_site,
    make_stone,
    make_supplier,
    make_survey,
)

SPRING = date(2026, 1, 1)


@dataclass
class QuoteWorld:
    """What `make_quote_world` made."""

    job: Job
    survey: Survey
    group: ColourGroup
    blend: Blend
    kit: Item
    stones: list[Item]
    sand: Item
    edging: Item
    supplier: Supplier
    laying: WorkItem
    edge_work: WorkItem
    lifting: WorkItem

    def start(self, **fields: Any) -> Revision:
        """Draft the quote as the office would."""
        values: dict[str, Any] = {
            "job_id": self.job.pk, "survey_id": self.survey.pk, "by": None, "at": AT,
        }  # fmt: skip
        return start_quote(**values | fields)

    def send(self, **fields: Any) -> Revision:
        """Draft and send it."""
        revision = self.start(**fields)
        return send_revision(revision_id=revision.pk, to="home@customer.example", by=None, at=AT)


def make_rates(**fields: Any) -> FirmRates:
    """Labour £30 an hour, overhead 12 %, margin 25 %, VAT 20 %, deposit 25 %."""
    values: dict[str, Any] = {
        "valid_from": SPRING, "labour_hourly": Decimal(30), "overhead_percent": Decimal(12),
        "margin_percent": Decimal(25),
    }  # fmt: skip
    return FirmRates.objects.create(**values | fields)


def make_work_item(code: str, unit: str, measure: str, rate: dict[str, Any], **fields: Any) -> Any:
    """A work item with one rate from the year's first day.

    Of `rate`, stock_item and stock_per_unit, or stock (item -> base units), are what a unit takes.
    """
    item = WorkItem.objects.create(
        code=code, name=fields.pop("name", code.title()), unit=unit, measure=measure, **fields
    )
    figures = dict(rate)
    taken = figures.pop("stock", {})
    if "stock_item" in figures:
        taken = {figures.pop("stock_item"): figures.pop("stock_per_unit")}
    found = WorkItemRate.objects.create(
        work_item=item, valid_from=SPRING,
        **{key: value if hasattr(value, "pk") else Decimal(value)
           for key, value in figures.items()},
    )  # fmt: skip
    for each, quantity in taken.items():
        WorkItemStock.objects.create(rate=found, item=each, quantity=quantity)
    return item


# The least that is taken for a PDF.
PDF = b"%PDF-1.4\n1 0 obj<</Type/Catalog/Pages 2 0 R>>endobj\ntrailer<</Root 1 0 R>>\n%%EOF\n"


def make_plant(**rate: Any) -> Plant:
    """A machine at £70 a day and £200 a week of five days, two days at least."""
    figures = {"day_rate": Decimal(70), "week_rate": Decimal(200), "minimum_days": 2}
    plant = Plant.objects.create(name=f"Plate compactor {Plant.objects.count()}")
    PlantRate.objects.create(entry=plant, valid_from=SPRING, **figures | rate)
    return plant


def make_ground(**rate: Any) -> Ground:
    """Clay: 1.3 loose from a solid m³, 1.3 t a loose m³, loads of 8 t at £95, £22 a tonne to tip.

    Common practice, no source.
    """
    figures = {
        "bulking": Decimal("1.3"), "density": Decimal("1.3"), "load_t": Decimal(8),
        "haul": Decimal(95), "tip": Decimal(22),
    }  # fmt: skip
    ground = Ground.objects.create(name=f"clay {Ground.objects.count()}")
    GroundRate.objects.create(entry=ground, valid_from=SPRING, **figures | rate)
    return ground


def make_small_job(**rate: Any) -> SmallJob:
    """A piece sold at £85 that takes an hour and £12 of material."""
    figures = {"price": Decimal(85), "labour_hours": Decimal(1), "material": Decimal(12)}
    job = SmallJob.objects.create(name=f"Reseat a cover {SmallJob.objects.count()}")
    SmallJobRate.objects.create(entry=job, valid_from=SPRING, **figures | rate)
    return job


def make_quote_world(*, customer: dict[str, Any] | None = None, **survey: Any) -> QuoteWorld:
    """A drive of 6.2 m by 3.4 m: 21.08 m², edge 19.2 m, 8 mixes with 5 % waste."""
    job = make_job(site=make_site(make_customer(**customer or {})))
    survey_row = make_survey(job, base_condition=survey.pop("base_condition", "sound"), **survey)
    area = make_area(survey_row, name="drive")
    kit, sand, edging = make_kit(), make_sand(), make_edging()
    stones = [make_stone(), make_stone()]
    blend = make_blend(kit=kit, components=[(stones[0], 4), (stones[1], 1), (sand, 1)])
    group = area.pour.colour_group
    BlendChoice.objects.create(colour_group=group, blend=blend)
    supplier = make_supplier()
    for item, price in ((kit, "42.50"), (stones[0], "7.40"), (stones[1], "8.10"), (sand, "2.20"),
                        (edging, "9.95")):  # fmt: skip
        make_price(supplier, item, price)
    if not FirmRates.objects.exists():
        make_rates()
    laying = WorkItem.objects.filter(is_surface=True).first() or make_work_item(
        "LAY", "m2", "none", {"labour_hours": "0.55", "plant": "1.20"}, name="Laying",
        is_surface=True,
    )  # fmt: skip
    n = WorkItem.objects.count()
    edge_work = make_work_item(
        f"EDGE{n}", "m", "edge",
        {"labour_hours": "0.15", "stock_item": edging, "stock_per_unit": 1000,
         "waste_percent": "5"},
        name=f"Aluminium edging {n}",
    )  # fmt: skip
    lifting = make_work_item(
        f"LIFT{n}", "m2", "area", {"labour_hours": "0.25", "plant": "6.50"},
        name=f"Lift and cart away {n}",
    )  # fmt: skip
    return QuoteWorld(
        job, survey_row, group, blend, kit, stones, sand, edging, supplier, laying, edge_work,
        lifting,
    )  # fmt: skip
