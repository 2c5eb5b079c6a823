"""The price book as a sheet: work items with their last figures, out and in again.

Figures that a sheet changes become new ones from the day that it gives; none of the past is
rewritten.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal
from typing import Any, ClassVar

from django.db.models import F, OuterRef, Prefetch, QuerySet, Subquery
from import_export.fields import Field

from jobs.kernel.errors import ServiceError
from jobs.kernel.sheetfields import Cell, Choice, Day, Figure, Known, Whole, Words, YesNo, column
from jobs.kernel.sheets import SheetResource
from quotes.pricebook.enums import Measure, Unit
from quotes.pricebook.models import Plant, WorkItem, WorkItemRate
from quotes.pricebook.services import post_rate, post_work_item, post_work_item_words
from stock.catalogue.models import Item

ZERO = Decimal(0)
WORDS = ("name", "measure", "is_surface")
FIGURES = (
    "labour_hours", "plant", "machine_name", "machine_days", "material", "stock", "waste_percent",
)  # fmt: skip
# What a unit takes from the yard: codes with base units, in the order of the codes.
Stock = tuple[tuple[str, int], ...]
IN_UNIT = {Measure.AREA: Unit.SQUARE_METRE, Measure.EDGE: Unit.METRE}


class StockCell(Cell):
    """Items of the catalogue with base units a unit, 'EDG-1 1000; STN-2 400'; empty for none."""

    ROW = re.compile(r"\s*(?P<code>[^;].*?)\s+(?P<quantity>[-\d.,]+)\s*(?:;|$)")

    def __init__(self) -> None:
        super().__init__()
        self.items = Known(Item, "code", what="item with the code")
        self.quantity = Whole(least=1, most=10_000_000)

    def read(self, text: str) -> Stock:
        found: dict[str, int] = {}
        place = 0
        while place < len(text):
            row = self.ROW.match(text, place)
            if row is None:
                raise ValueError(
                    f"'{text[place:].strip()}' is not whole: give the code of each item with the "
                    "base units that one unit takes, like EDG-1 1000; STN-2 400, or nothing."
                )
            code = self.items.read(row["code"]).code
            if code in found:
                raise ValueError(f"'{code}' stands there twice; give it once.")
            found[code] = self.quantity.read(row["quantity"])
            place = row.end()
        return tuple(sorted(found.items()))

    def write(self, value: Any) -> str:
        return "; ".join(f"{code} {quantity}" for code, quantity in value)


class StockColumn(Field):  # type: ignore[misc]
    """What the last figures take from the yard: as a sheet gave it, or as the book has it."""

    def get_value(self, instance: Any) -> Stock:
        """Return the items of an instance of `WorkItemResource.get_queryset`."""
        if hasattr(instance, "last_stock"):
            given: Stock = instance.last_stock
            return given
        rows = [row for rate in getattr(instance, "last_rates", ()) for row in rate.stock.all()]
        return tuple(sorted((row.item.code, row.quantity) for row in rows))


class MachineName(Known):
    """The name of a machine of the book; empty for none."""

    def __init__(self) -> None:
        super().__init__(Plant, "name", needed=False, what="machine with the name")

    def read(self, text: str) -> str:
        found = super().read(text)
        return found.name if found else ""

    def write(self, value: Any) -> str:
        return str(value)


class DayOrNone(Day):
    """A day; empty where there are no figures that could begin on it."""

    def read(self, text: str) -> Any:
        return super().read(text) if text else None


class WorkItemResource(SheetResource):
    """One row a work item: its words, and the last figures that the book has of it."""

    code = column("Code", "code", Words(needed=True, most=20))
    name = column("Work", "name", Words(needed=True, most=100))
    unit = column("Unit", "unit", Choice(Unit))
    measure = column("Measured as", "measure", Choice(Measure, default="none"))
    is_surface = column("Laying", "is_surface", YesNo())
    valid_from = column("Holds from", "last_valid_from", DayOrNone())
    labour_hours = column(
        "Labour, h", "last_labour_hours", Figure(places=4, most=9999, default=ZERO)
    )
    plant = column("Plant, £", "last_plant", Figure(places=4, most=999_999, default=ZERO))
    machine_name = column("Machine", "last_machine_name", MachineName())
    machine_days = column(
        "Days of it", "last_machine_days", Figure(places=4, most=9999, default=ZERO)
    )
    material = column("Material, £", "last_material", Figure(places=4, most=999_999, default=ZERO))
    stock = StockColumn(column_name="From the yard", attribute="last_stock", widget=StockCell())
    waste_percent = column("Waste, %", "last_waste_percent", Figure(most=100, default=ZERO))

    needed = ("Code", "Work", "Unit", "Holds from")
    about: ClassVar[dict[str, str]] = {
        "Code": "finds the work item; a new one makes a new item",
        "Unit": "m², m, m³, t, each, day or h; that of an item in the book stays",
        "Measured as": "area of the surface, open edge with edging, or typed in",
        "Laying": "yes for the labour of the surfacing itself",
        "Holds from": "the day from which changed figures hold, after that of the last ones",
        "Labour, h": "hours a unit",
        "Plant, £": "a unit",
        "Machine": "name of a machine in the book, at its day rate",
        "Days of it": "a unit",
        "Material, £": "bought in, a unit",
        "From the yard": "codes of items in the catalogue, each with the mm, g, ml or pieces that "
        "a unit takes: EDG-1 1000; STN-2 400",
        "Waste, %": "on material and stock",
    }

    class Meta:
        model = WorkItem
        fields = ("code", "unit", *WORDS, "valid_from", *FIGURES)
        import_order = (
            "code", "name", "unit", "measure", "is_surface", "valid_from", *FIGURES,
        )  # fmt: skip
        export_order = import_order
        import_id_fields = ("code",)

    def get_queryset(self) -> QuerySet[WorkItem]:
        """Return the work items; each last figure is there as `last_` and its name."""
        last = WorkItemRate.objects.filter(work_item=OuterRef("pk")).order_by("-valid_from")
        last = last.annotate(machine_name=F("machine__name"))
        names = ("valid_from", *(name for name in FIGURES if name != "stock"))
        same = WorkItemRate.objects.filter(work_item=OuterRef("work_item")).order_by("-valid_from")
        rates = WorkItemRate.objects.filter(pk=Subquery(same.values("pk")[:1]))
        found: QuerySet[WorkItem] = WorkItem.objects.order_by("code").annotate(
            **{f"last_{name}": Subquery(last.values(name)[:1]) for name in names}
        )
        return found.prefetch_related(
            Prefetch("rates", rates.prefetch_related("stock__item"), to_attr="last_rates")
        )

    def get_or_init_instance(self, instance_loader: Any, row: Any) -> tuple[WorkItem, bool]:
        """Return the work item of a row; a new one, or one without figures, has empty ones."""
        instance, new = super().get_or_init_instance(instance_loader, row)
        for name in ("valid_from", *FIGURES):
            if new:
                setattr(instance, f"last_{name}", None)
        if instance.last_machine_name is None:
            instance.last_machine_name = ""
        instance.last_stock = () if new else self.fields["stock"].get_value(instance)
        return instance, new

    def skip_row(
        self,
        instance: Any,
        original: Any,
        row: Any,  # noqa: ARG002 - the library's
        import_validation_errors: Any = None,
    ) -> bool:
        """Leave a row alone whose words and figures stand already, whatever day it gives."""
        if import_validation_errors or not original.pk:
            return False
        return not (changed(instance, original, WORDS) or figures_changed(instance, original)) and (
            instance.unit == original.unit
        )

    def write(
        self,
        instance: Any,
        *,
        new: bool,
        row: Mapping[str, str],  # noqa: ARG002 - the kernel's
        by: Any,
        at: datetime,
    ) -> None:
        """Add or reword the work item, and give it new figures from the row's day on."""
        check_measure(instance)
        words = {name: getattr(instance, name) for name in WORDS}
        if new:
            made = post_work_item(
                code=instance.code, unit=instance.unit, **words, by=by, at=at
            )  # fmt: skip
            instance.pk = made.pk
            known: Any = None
        else:
            known = self.get_queryset().get(pk=instance.pk)
            known.last_stock = self.fields["stock"].get_value(known)
            if known.unit != instance.unit:
                unit = Unit(known.unit).label
                raise ServiceError(f"Unit: this work is counted in {unit}; rates hang on that.")
            post_work_item_words(work_item_id=instance.pk, values=words, by=by, at=at)
        begins = instance.last_valid_from is not None
        if known is None or known.last_valid_from is None:
            wanted = begins or figures_changed(instance, WorkItem())
        else:
            wanted = figures_changed(instance, known)
        if wanted and not begins:
            raise ServiceError("Holds from: give the day from which the figures hold.")
        if wanted:
            self.write_rate(instance, by=by, at=at)

    def write_rate(self, instance: Any, *, by: Any, at: datetime) -> None:
        """Give a work item the row's figures from the row's day on."""
        figures: dict[str, Any] = {name: getattr(instance, f"last_{name}") or 0 for name in FIGURES}
        taken: Stock = figures.pop("stock") or ()
        numbers = dict(Item.objects.filter(code__in=dict(taken)).values_list("code", "pk"))
        name = figures.pop("machine_name")
        machine = Plant.objects.filter(name=name).first() if name else None
        post_rate(
            work_item_id=instance.pk, valid_from=instance.last_valid_from,
            stock={numbers[code]: quantity for code, quantity in taken},
            machine_id=machine.pk if machine else None, by=by, at=at,
            **figures,
        )  # fmt: skip


def changed(one: Any, other: Any, names: tuple[str, ...]) -> bool:
    """Return whether two instances differ in one of these; nothing and nought are the same."""
    return any((getattr(one, n, 0) or 0) != (getattr(other, n, 0) or 0) for n in names)


def figures_changed(one: Any, other: Any) -> bool:
    """Return whether the figures of a work item differ, its day apart."""
    return changed(one, other, tuple(f"last_{name}" for name in FIGURES))


def check_measure(instance: Any) -> None:
    """Refuse work whose unit is not what the survey measures."""
    wanted = IN_UNIT.get(Measure(instance.measure))
    if instance.is_surface:
        wanted = Unit.SQUARE_METRE
    if wanted and wanted != instance.unit:
        raise ServiceError(f"Unit: what the survey measures there is counted in {wanted.label}.")
