"""Items, blends and places: what is kept, how it is mixed, where it lies."""

from __future__ import annotations

import uuid
from decimal import Decimal

from django.db import models
from django.db.models import Q
from django.urls import reverse

from jobs.kernel.fields import BaseUnitField, at_least, more_than, one_of
from stock.catalogue.enums import COSTED_AS, BaseUnit, ItemKind, PlaceKind, Season
from stock.catalogue.querysets import BlendQuerySet, ItemQuerySet, PlaceQuerySet


class Item(models.Model):
    """One thing that is bought by the pack and counted in whole base units.

    Kits count in pieces (a kit is one), bagged stone and filler in grams, edging in millimetres.
    The temperature figures of a kit are what its data sheet prints at 20 °C; empty where it
    prints none.
    """

    uid = models.UUIDField(default=uuid.uuid4, unique=True)
    code = models.CharField(max_length=20, unique=True)
    name = models.CharField(max_length=80)
    kind = models.CharField(max_length=8, choices=ItemKind.choices)
    base_unit = models.CharField(max_length=6, choices=BaseUnit.choices)
    pack_name = models.CharField(max_length=20, default="bag", help_text="kit, bag, tin, length")
    pack_quantity = BaseUnitField(default=1, help_text="base units in one pack")
    pack_mass_g = models.PositiveIntegerField("mass of a pack (g)", default=0)
    packs_per_pallet = models.PositiveSmallIntegerField(null=True, blank=True)
    run_matched = models.BooleanField("one production run for each colour group", default=False)
    size_low_mm = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    size_high_mm = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    part_a_g = models.PositiveIntegerField("part A (g)", null=True, blank=True)
    part_b_g = models.PositiveIntegerField("part B (g)", null=True, blank=True)
    uv_stable = models.BooleanField("keeps its colour in daylight", default=True)
    season = models.CharField(max_length=6, choices=Season.choices, default=Season.ALL)
    working_min_20c = models.PositiveSmallIntegerField("working time (min)", null=True, blank=True)
    rain_safe_min_20c = models.PositiveIntegerField("rain-safe (min)", null=True, blank=True)
    cure_min_20c = models.PositiveIntegerField("cure (min)", null=True, blank=True)
    foot_min_20c = models.PositiveIntegerField("on foot (min)", null=True, blank=True)
    vehicle_min_20c = models.PositiveIntegerField("vehicles (min)", null=True, blank=True)
    time_table = models.JSONField(
        default=list, blank=True, help_text="the maker's rows: [°C, working min, cure min]"
    )
    shelf_life_months = models.PositiveSmallIntegerField(null=True, blank=True)
    expiry_margin_days = models.PositiveSmallIntegerField(default=0)
    conditioning_hours = models.PositiveSmallIntegerField(default=0)
    store_low_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    store_high_c = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    store_hours_allowed = models.PositiveSmallIntegerField(default=0)
    storage_note = models.CharField(max_length=300, blank=True)
    hazard_note = models.CharField(max_length=300, blank=True)
    least = BaseUnitField("reorder below", default=0)
    most = BaseUnitField("order up to", default=0)
    archived_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = ItemQuerySet.as_manager()

    class Meta:
        ordering = ["kind", "name"]
        constraints = [
            one_of("kind", ItemKind, name="stock_item_kind"),
            one_of("base_unit", BaseUnit, name="stock_item_base_unit"),
            one_of("season", Season, name="stock_item_season"),
            more_than("pack_quantity", 0, name="stock_item_pack"),
            at_least("least", 0, name="stock_item_least"),
            at_least("most", 0, name="stock_item_most"),
            # A kit has both parts, and nothing else has any.
            models.CheckConstraint(
                condition=Q(kind="kit", part_a_g__gt=0, part_b_g__gt=0, base_unit="piece")
                | (~Q(kind="kit") & Q(part_a_g=None, part_b_g=None)),
                name="stock_item_kit_has_two_parts",
            ),
            models.CheckConstraint(
                condition=Q(run_matched=False) | Q(kind="stone"), name="stock_item_run_is_of_stone"
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("catalogue:detail", args=[self.pk])

    @property
    def kept_in_lots(self) -> bool:
        return self.kind in ItemKind.IN_LOTS

    def as_costed(self, quantity: int) -> tuple[Decimal, str]:
        """Return a quantity of base units as costing counts it: pieces, kg, l or m."""
        unit, per = COSTED_AS[BaseUnit(self.base_unit)]
        return Decimal(quantity) / per, unit

    def packs(self, quantity: int) -> Decimal:
        """Return a quantity of base units in packs, as people count it."""
        return Decimal(quantity) / Decimal(self.pack_quantity)


class Blend(models.Model):
    """A blend card: one kit with bags of stone and filler, and what a whole mix covers.

    Either the yield (area at a depth) or the compacted density of the whole mix is given; where
    both are, they agree within 1 % (checked by the service, with the engine).
    """

    name = models.CharField(max_length=60, unique=True)
    kit = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="kit_of")
    yield_area_m2 = models.DecimalField(max_digits=6, decimal_places=3, null=True, blank=True)
    yield_depth_mm = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    compacted_density = models.DecimalField(
        "compacted density (kg/m³)", max_digits=6, decimal_places=1, null=True, blank=True
    )
    mix_seconds = models.PositiveSmallIntegerField("mixing (s)", default=120)
    archived_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    objects = BlendQuerySet.as_manager()

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(yield_area_m2__gt=0, yield_depth_mm__gt=0)
                | Q(yield_area_m2=None, yield_depth_mm=None, compacted_density__gt=0),
                name="stock_blend_yield_or_density",
            )
        ]

    def __str__(self) -> str:
        return self.name

    def get_absolute_url(self) -> str:
        return reverse("catalogue:blend", args=[self.pk])


class BlendComponent(models.Model):
    """Bags, or parts of a bag, of one stone or filler in a mix."""

    blend = models.ForeignKey(Blend, on_delete=models.CASCADE, related_name="components")
    item = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="in_blends")
    bags = models.DecimalField("bags in a mix", max_digits=5, decimal_places=2)

    class Meta:
        ordering = ["pk"]
        constraints = [
            more_than("bags", 0, name="stock_blendcomponent_bags"),
            models.UniqueConstraint(fields=["blend", "item"], name="stock_blendcomponent_once"),
        ]

    def __str__(self) -> str:
        return f"{self.bags} × {self.item}"


class Place(models.Model):
    """Where stock lies or goes: bays, vans and sites are counted, the others end a move."""

    kind = models.CharField(max_length=10, choices=PlaceKind.choices)
    name = models.CharField(max_length=60)
    job = models.OneToOneField("jobs.Job", on_delete=models.PROTECT, null=True, related_name="+")
    near = models.PositiveSmallIntegerField("picked first when near", default=50)
    archived_at = models.DateTimeField(null=True, blank=True)

    objects = PlaceQuerySet.as_manager()

    class Meta:
        ordering = ["kind", "near", "name"]
        constraints = [
            one_of("kind", PlaceKind, name="stock_place_kind"),
            models.UniqueConstraint(fields=["kind", "name"], name="stock_place_name"),
            models.CheckConstraint(
                condition=(Q(kind="site") & Q(job__isnull=False)) | (~Q(kind="site") & Q(job=None)),
                name="stock_place_site_is_a_jobs",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class Substitute(models.Model):
    """An item that may stand in for another, mass for mass; the first is asked first."""

    item = models.ForeignKey(Item, on_delete=models.CASCADE, related_name="substitutes")
    stand_in = models.ForeignKey(Item, on_delete=models.PROTECT, related_name="stands_in_for")
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["item_id", "position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["item", "stand_in"], name="stock_substitute_once"),
            models.CheckConstraint(
                condition=~Q(item=models.F("stand_in")), name="stock_substitute_is_another"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.stand_in} for {self.item}"
