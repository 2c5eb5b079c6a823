"""Pages of items."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db.models import Q
from django.shortcuts import get_object_or_404
from django.urls import reverse

from jobs.kernel.lists import Action, RoomListView
from jobs.kernel.panels import drawn_panels
from jobs.kernel.templatetags.firm import base_quantity, figure, quantity
from jobs.kernel.versionviews import VersionedFormView
from jobs.kernel.views import ConfirmView, RoomPage, ServiceFormView
from stock.catalogue import services
from stock.catalogue.enums import BaseUnit, Season
from stock.catalogue.filters import ItemFilter
from stock.catalogue.forms import ItemEditForm, ItemForm
from stock.catalogue.models import Blend, Item
from stock.catalogue.rules import with_last_word
from stock.catalogue.tables import ItemTable

SEE = "jobs.view_yard"
WRITE = "jobs.manage_catalogue"


class Items(RoomListView):
    permission = SEE
    title = "Items"
    table_class = ItemTable
    filterset_class = ItemFilter
    search_fields = ("name", "code", "storage_note")
    search_hint = "Name or code"
    actions = (
        Action("From a sheet", "catalogue:import", WRITE, solid=False),
        Action("Add an item", "catalogue:create", WRITE),
    )
    empty = "No items yet."

    def get_rows(self) -> Any:
        return Item.objects.for_list()


class OneItem:
    kwargs: dict[str, Any]
    found: Any
    found_name: ClassVar[str] = "item"

    def find(self) -> Item:
        return get_object_or_404(Item, pk=self.kwargs["pk"])

    def get_back_url(self) -> str:
        return str(self.found.get_absolute_url())


class ItemDetail(OneItem, RoomPage):
    permission = SEE
    template_name = "stock/catalogue/item.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        item: Item = self.found
        blends = Blend.objects.current().filter(Q(kit=item) | Q(components__item=item))
        return super().get_context_data(
            title=item.name,
            facts=facts_of(item),
            blends=blends.distinct(),
            stand_ins=item.substitutes.select_related("stand_in"),
            stands_in_for=item.stands_in_for.select_related("item"),
            lots=item.lots.filter(Q(on_hand__gt=0) | Q(at_sites__gt=0)),
            panels=drawn_panels(self.request, "item", item),
            **kwargs,
        )


def facts_of(item: Item) -> list[tuple[str, str]]:
    """Return what an item's page says, leaving out what does not apply."""
    parts = item.part_a_g and item.part_b_g
    pallet, margin = item.packs_per_pallet, item.expiry_margin_days
    facts = [
        ("Code", item.code),
        ("Kind", item.get_kind_display()),
        ("A pack", f"{item.pack_name}, {base_quantity(item.pack_quantity, item.base_unit)}"),
        ("A pallet", quantity(pallet, item.pack_name) if pallet else ""),
        ("Runs", "one production run for each colour group" if item.run_matched else ""),
        ("Parts", parts_of(item) if parts else ""),
        ("Times at 20 °C", times_of(item)),
        ("Season", item.get_season_display() if item.season != Season.ALL else ""),
        ("Daylight", "" if item.uv_stable else "does not keep its colour"),
        ("Shelf life", f"{item.shelf_life_months} months" if item.shelf_life_months else ""),
        ("Days to spare before the date", str(margin) if margin else ""),
        ("Hours to warm", str(item.conditioning_hours) if item.conditioning_hours else ""),
        ("Store between", limits_of(item)),
        ("Storage", with_last_word(item.storage_note) if item.storage_note else ""),
        ("Hazards", with_last_word(item.hazard_note) if item.hazard_note else ""),
        ("Reorder", levels_of(item)),
    ]
    return [(label, said) for label, said in facts if said]


def times_of(item: Item) -> str:
    """Return the times that a kit's data sheet prints."""
    times = (
        ("working", item.working_min_20c), ("rain-safe", item.rain_safe_min_20c),
        ("cure", item.cure_min_20c), ("on foot", item.foot_min_20c),
        ("vehicles", item.vehicle_min_20c),
    )  # fmt: skip
    return ", ".join(f"{name} {as_people_say(minutes)}" for name, minutes in times if minutes)


def as_people_say(minutes: int) -> str:
    """Return minutes as a data sheet prints them: from two hours on in hours."""
    return f"{minutes} min" if minutes < 120 else f"{figure(round(minutes / 60, 1))} h"


def parts_of(item: Item) -> str:
    """Return what each part of a kit weighs."""
    return ", ".join(
        f"{part} {base_quantity(grams, BaseUnit.GRAM)}"
        for part, grams in (("A", item.part_a_g), ("B", item.part_b_g))
    )


def limits_of(item: Item) -> str:
    """Return between which temperatures it is stored, and for how long it may be outside."""
    if item.store_low_c is None and item.store_high_c is None:
        return ""
    low, high = figure(item.store_low_c), figure(item.store_high_c)
    return f"{low} and {high} °C, {item.store_hours_allowed} h allowed outside"


def levels_of(item: Item) -> str:
    """Return below which quantity it is ordered, and up to which."""
    if not item.least and not item.most:
        return ""
    least, most = (base_quantity(n, item.base_unit) for n in (item.least, item.most))
    return f"below {least}, up to {most}"


class ItemCreate(ServiceFormView):
    permission = WRITE
    form_class = ItemForm
    title = "Add an item"
    button = "Add the item"
    success_message = "Added {made}."

    def get_back_url(self) -> str:
        return reverse("catalogue:list")

    def act(self, form: Any) -> Item:
        return services.add_item(by=self.request.user, at=self.request.now, **form.cleaned_data)


class ItemEdit(OneItem, VersionedFormView):
    permission = WRITE
    form_class = ItemEditForm
    button = "Save the item"
    success_message = "Saved {made}."

    def get_title(self) -> str:
        return f"Change {self.found}"

    def get_form_kwargs(self) -> dict[str, Any]:
        # A row of its own, since the form writes what was typed into it.
        return super().get_form_kwargs() | {"instance": Item.objects.get(pk=self.found.pk)}

    def change(self, form: Any) -> Item:
        values = {name: form.cleaned_data[name] for name in form.compared()}
        return services.change_item(
            item_id=self.found.pk, version=form.cleaned_data["version"], by=self.request.user,
            at=self.request.now, **values,
        )  # fmt: skip


class ItemArchive(OneItem, ConfirmView):
    permission = WRITE
    button = "Put the item away"
    intro = "It no longer shows in lists and cannot be ordered; its lots and papers stay."
    success_message = "{found} was put away."

    def get_title(self) -> str:
        return f"Put {self.found} away?"

    def act(self, form: Any) -> Item:
        return services.archive_item(
            item_id=self.found.pk, by=self.request.user, at=self.request.now
        )
