"""The catalogue as sheets: items, and blend cards with what goes into a mix."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import datetime
from decimal import Decimal, InvalidOperation
from typing import Any, ClassVar

from django.db.models import QuerySet

from jobs.kernel.errors import ServiceError
from jobs.kernel.sheetfields import Cell, Choice, Figure, Known, Whole, Words, YesNo, column
from jobs.kernel.sheets import SheetResource
from stock.catalogue.enums import BaseUnit, ItemKind, Season
from stock.catalogue.models import Blend, Item
from stock.catalogue.services import (
    post_blend,
    post_blend_change,
    post_item,
    post_item_change,
    post_substitutes,
)

ITEM_FIELDS = (
    "code", "name", "kind", "base_unit", "pack_name", "pack_quantity", "pack_mass_g",
    "packs_per_pallet", "run_matched", "size_low_mm", "size_high_mm", "part_a_g", "part_b_g",
    "uv_stable", "season", "working_min_20c", "rain_safe_min_20c", "cure_min_20c", "foot_min_20c",
    "vehicle_min_20c", "shelf_life_months", "expiry_margin_days", "conditioning_hours",
    "store_low_c", "store_high_c", "store_hours_allowed", "storage_note", "hazard_note", "least",
    "most",
)  # fmt: skip
BLEND_FIELDS = (
    "name", "kit", "yield_area_m2", "yield_depth_mm", "compacted_density", "mix_seconds",
)  # fmt: skip
# '4 × STN-20' or '0.5 x SND-1': bags, then the code of the stone or filler.
PART = re.compile(r"\s*([\d.]+)\s*[x×*]\s*(\S.*?)\s*\Z", re.IGNORECASE)


class Maybe(Cell):
    """A cell that may be empty, and then holds nothing."""

    def __init__(self, cell: Cell) -> None:
        super().__init__()
        self.cell = cell

    def read(self, text: str) -> Any:
        return self.cell.read(text) if text else None

    def write(self, value: Any) -> Any:
        return self.cell.write(value)


def small(most: int = 32_767) -> Cell:
    """Return a cell for a whole figure that may be empty."""
    return Maybe(Whole(most=most))


def degrees() -> Cell:
    """Return a cell for a temperature that may be empty."""
    return Maybe(Figure(places=1, least=-40, most=80))


class ItemResource(SheetResource):
    """One row an item, found by its code."""

    code = column("Code", "code", Words(needed=True, most=20))
    name = column("Name", "name", Words(needed=True, most=80))
    kind = column("Kind", "kind", Choice(ItemKind))
    base_unit = column("Counted in", "base_unit", Choice(BaseUnit))
    pack_name = column("A pack is called", "pack_name", Words(needed=True, most=20))
    pack_quantity = column("A pack holds", "pack_quantity", Whole(least=1))
    pack_mass_g = column("A pack weighs, g", "pack_mass_g", Whole(default=0))
    packs_per_pallet = column("Packs on a pallet", "packs_per_pallet", small())
    run_matched = column("One run for a colour", "run_matched", YesNo())
    size_low_mm = column("Stone from, mm", "size_low_mm", Maybe(Figure(places=1, most=999)))
    size_high_mm = column("Stone to, mm", "size_high_mm", Maybe(Figure(places=1, most=999)))
    part_a_g = column("Part A, g", "part_a_g", Maybe(Whole(least=1)))
    part_b_g = column("Part B, g", "part_b_g", Maybe(Whole(least=1)))
    uv_stable = column("Keeps its colour", "uv_stable", YesNo())
    season = column("Season", "season", Choice(Season, default="all"))
    working_min_20c = column("Working, min at 20 °C", "working_min_20c", small())
    rain_safe_min_20c = column("Rain-safe, min at 20 °C", "rain_safe_min_20c", small(1_000_000))
    cure_min_20c = column("Cure, min at 20 °C", "cure_min_20c", small(1_000_000))
    foot_min_20c = column("On foot, min at 20 °C", "foot_min_20c", small(1_000_000))
    vehicle_min_20c = column("Vehicles, min at 20 °C", "vehicle_min_20c", small(1_000_000))
    shelf_life_months = column("Shelf life, months", "shelf_life_months", small(600))
    expiry_margin_days = column("Days to spare", "expiry_margin_days", Whole(most=3650, default=0))
    conditioning_hours = column("Hours to warm", "conditioning_hours", Whole(most=1000, default=0))
    store_low_c = column("Store not below, °C", "store_low_c", degrees())
    store_high_c = column("Store not above, °C", "store_high_c", degrees())
    store_hours_allowed = column(
        "Hours allowed outside", "store_hours_allowed", Whole(most=10_000, default=0)
    )
    storage_note = column("Storage note", "storage_note", Words(most=300))
    hazard_note = column("Hazard note", "hazard_note", Words(most=300))
    least = column("Reorder below", "least", Whole(default=0))
    most = column("Order up to", "most", Whole(default=0))
    stand_ins = column("May be replaced by", "stand_ins", Words(most=400))

    needed = ("Code", "Name", "Kind", "Counted in", "A pack is called", "A pack holds")
    about: ClassVar[dict[str, str]] = {
        "Code": "finds the item; a new one makes a new item",
        "Kind": "resin kit, stone, filler, primer, edging or sundry",
        "Counted in": "piece, g, ml or mm; it stays once there are lots",
        "A pack holds": "in the unit it is counted in: a 20 kg bag holds 20000",
        "Part A, g": "of a kit, and of nothing else",
        "Season": "all year, summer grade or winter grade",
        "Hazard note": "as the label says; the safety data sheet rules",
        "Reorder below": "in the unit it is counted in",
        "May be replaced by": "codes with ; between them, the first is asked first",
    }

    class Meta:
        model = Item
        fields = (*ITEM_FIELDS, "stand_ins")
        import_order = fields
        export_order = fields
        import_id_fields = ("code",)

    def get_queryset(self) -> QuerySet[Item]:
        """Return the items that are not put away."""
        found: QuerySet[Item] = Item.objects.current().order_by("kind", "name", "pk")
        return found.prefetch_related("substitutes__stand_in")

    def export_field(self, field: Any, instance: Any, **kwargs: Any) -> Any:
        """Write what may stand in, where no sheet has given it."""
        if field.attribute == "stand_ins" and not hasattr(instance, "stand_ins"):
            instance.stand_ins = stand_in_words(instance)
        return super().export_field(field, instance, **kwargs)

    def get_or_init_instance(self, instance_loader: Any, row: Any) -> tuple[Item, bool]:
        """Return the item of a row with what may stand in for it now."""
        instance, new = super().get_or_init_instance(instance_loader, row)
        instance.stand_ins = "" if new else stand_in_words(instance)
        return instance, new

    def write(
        self, instance: Any, *, new: bool, row: Mapping[str, str], by: Any, at: datetime,  # noqa: ARG002
    ) -> None:  # fmt: skip
        """Add the item, or change it where the row differs."""
        check_item(instance)
        values = {name: getattr(instance, name) for name in ITEM_FIELDS}
        if new:
            if Item.objects.filter(code__iexact=instance.code).exists():
                raise ServiceError(f"Code: {instance.code} was put away; take another code.")
            item = post_item(by=by, at=at, **values)
            instance.pk = item.pk
        else:
            item = Item.objects.select_for_update(no_key=True).get(pk=instance.pk)
            post_item_change(item=item, by=by, at=at, **values)
        post_substitutes(item=item, stand_ins=read_stand_ins(instance.stand_ins), by=by, at=at)


def stand_in_words(item: Item) -> str:
    """Write what may stand in for an item, as `read_stand_ins` reads it."""
    return "; ".join(row.stand_in.code for row in item.substitutes.all())


def read_stand_ins(text: str) -> list[Item]:
    """Read 'STN-2; STN-3' as items; ServiceError names a code that nothing has."""
    found = []
    for code in filter(None, (piece.strip() for piece in text.split(";"))):
        item = Item.objects.filter(code__iexact=code).first()
        if item is None:
            raise ServiceError(f"May be replaced by: there is no item with the code '{code}'.")
        found.append(item)
    return found


def check_item(item: Item) -> None:
    """Refuse figures that do not fit the kind."""
    parts = (item.part_a_g, item.part_b_g)
    if item.kind == ItemKind.KIT:
        if None in parts:
            raise ServiceError("Part A, Part B: give the mass of both; a kit has both parts.")
        if item.base_unit != BaseUnit.PIECE:
            raise ServiceError("Counted in: kits are counted in pieces.")
    elif any(parts):
        raise ServiceError("Part A, Part B: only a kit has parts.")
    if item.run_matched and item.kind != ItemKind.STONE:
        raise ServiceError("One run for a colour: only stone is matched by its run.")
    low, high = item.store_low_c, item.store_high_c
    if low is not None and high is not None and low > high:
        raise ServiceError("Store not above: the upper limit is below the lower one.")


class BlendResource(SheetResource):
    """One row a blend card, found by its name; what goes into a mix stands in one cell."""

    name = column("Blend", "name", Words(needed=True, most=60))
    kit = column("Kit", "kit", Known(Item, "code", what="item with the code"))
    goes_in = column("Goes in", "goes_in", Words(needed=True, most=400))
    yield_area_m2 = column("Covers, m²", "yield_area_m2", Maybe(Figure(places=3, most=999)))
    yield_depth_mm = column("at, mm", "yield_depth_mm", Maybe(Figure(places=1, most=999)))
    compacted_density = column(
        "Compacted, kg/m³", "compacted_density", Maybe(Figure(places=1, most=9999))
    )
    mix_seconds = column("Mixing, s", "mix_seconds", Whole(least=1, most=3600, default=120))

    needed = ("Blend", "Kit", "Goes in")
    about: ClassVar[dict[str, str]] = {
        "Blend": "finds the card; a new name makes a new card",
        "Kit": "code of the resin kit",
        "Goes in": "bags and codes, like 4 × STN-20; 0.5 × SND-5",
        "Covers, m²": "with the depth, or give the compacted density",
    }

    class Meta:
        model = Blend
        fields = (*BLEND_FIELDS, "goes_in")
        import_order = ("name", "kit", "goes_in", *BLEND_FIELDS[2:])
        export_order = import_order
        import_id_fields = ("name",)

    def get_queryset(self) -> QuerySet[Blend]:
        """Return the cards that are not put away."""
        found: QuerySet[Blend] = Blend.objects.current().for_list()
        return found

    def export_field(self, field: Any, instance: Any, **kwargs: Any) -> Any:
        """Write what goes in from the components, where no sheet has given it."""
        if field.attribute == "goes_in" and not hasattr(instance, "goes_in"):
            instance.goes_in = mixture_words(instance)
        return super().export_field(field, instance, **kwargs)

    def get_or_init_instance(self, instance_loader: Any, row: Any) -> tuple[Blend, bool]:
        """Return the card of a row with what goes into it now."""
        instance, new = super().get_or_init_instance(instance_loader, row)
        instance.goes_in = "" if new else mixture_words(instance)
        return instance, new

    def skip_row(
        self,
        instance: Any,
        original: Any,
        row: Any,
        import_validation_errors: Any = None,
    ) -> bool:
        """Leave a row alone that says what stands, in whichever spelling."""
        try:
            instance.goes_in = "; ".join(
                part_words(bags, item.code) for item, bags in read_mixture(instance.goes_in)
            )
        except ServiceError:
            return False
        skip: bool = super().skip_row(instance, original, row, import_validation_errors)
        return skip

    def write(
        self, instance: Any, *, new: bool, row: Mapping[str, str], by: Any, at: datetime,  # noqa: ARG002
    ) -> None:  # fmt: skip
        """Add the card, or change it where the row differs."""
        values = {name: getattr(instance, name) for name in BLEND_FIELDS}
        components = read_mixture(instance.goes_in)
        if new:
            if Blend.objects.filter(name__iexact=instance.name).exists():
                raise ServiceError(f"Blend: {instance.name} was put away; take another name.")
            made = post_blend(components=components, by=by, at=at, **values)
            instance.pk = made.pk
            return
        blend = Blend.objects.select_for_update(no_key=True).get(pk=instance.pk)
        post_blend_change(blend=blend, components=components, by=by, at=at, **values)


def part_words(bags: Decimal, code: str) -> str:
    """Write one component: '4 × STN-20'."""
    return f"{bags.normalize():f} × {code}"


def mixture_words(blend: Blend) -> str:
    """Write what goes into a mix, as `read_mixture` reads it."""
    return "; ".join(part_words(row.bags, row.item.code) for row in blend.components.all())


def read_mixture(text: str) -> list[tuple[Item, Decimal]]:
    """Read '4 × STN-20; 0.5 × SND-5' as items with their bags; ServiceError says what is wrong."""
    found = []
    for part in filter(None, (piece.strip() for piece in text.split(";"))):
        read = PART.match(part)
        if read is None:
            raise ServiceError(f"Goes in: '{part}' is not bags and a code, like 4 × STN-20.")
        try:
            bags = Decimal(read[1])
        except InvalidOperation:
            raise ServiceError(f"Goes in: '{read[1]}' is no number of bags.") from None
        item = Item.objects.filter(code__iexact=read[2]).first()
        if item is None:
            raise ServiceError(f"Goes in: there is no item with the code '{read[2]}'.")
        if bags <= 0 or bags >= 1000 or bags != round(bags, 2):
            raise ServiceError(f"Goes in: {read[1]} bags; give more than 0, two places at most.")
        found.append((item, bags))
    return found
