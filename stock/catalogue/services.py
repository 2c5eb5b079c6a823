"""Writing items, blend cards and places."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from jobs.audit.services import changes, post_event
from jobs.kernel.errors import ServiceError
from jobs.kernel.posting import assert_in_transaction
from jobs.kernel.versions import lock_version
from quotes.engine.errors import EngineError
from stock.catalogue.enums import ItemKind, PlaceKind
from stock.catalogue.models import Blend, BlendComponent, Item, Place, Substitute
from stock.catalogue.rules import card

Components = Sequence[tuple[Item, Decimal]]


@transaction.atomic(durable=True)
def add_item(*, by: Any, at: datetime, **values: Any) -> Item:
    """Add an item to the catalogue."""
    return post_item(by=by, at=at, **values)


def post_item(*, by: Any, at: datetime, **values: Any) -> Item:
    """Add an item, in the caller's transaction."""
    assert_in_transaction()
    item = Item(**values)
    item.full_clean()
    item.save()
    post_event(verb="catalogue.add", subject=item, by=by, at=at, after=values)
    return item


@transaction.atomic(durable=True)
def change_item(*, item_id: int, version: int, by: Any, at: datetime, **values: Any) -> Item:
    """Change an item; its kind and base unit stay once there are lots, which count in them."""
    return post_item_change(item=lock_version(Item, item_id, version), by=by, at=at, **values)


def post_item_change(*, item: Item, by: Any, at: datetime, **values: Any) -> Item:
    """Change an item that the caller has locked, in his transaction."""
    assert_in_transaction()
    before, after = changes(item, values)
    fixed = {"kind": "kind", "base_unit": "unit in which it is counted"}
    for name, words in fixed.items():
        if name in after and item.lots.exists():
            raise ServiceError(
                f"There are lots of {item}; its {words} cannot change. Add another item.",
                field=name,
            )
    for name, value in values.items():
        setattr(item, name, value)
    item.version += 1
    item.full_clean()
    item.save()
    post_event(verb="catalogue.change", subject=item, by=by, at=at, before=before, after=after)
    return item


@transaction.atomic(durable=True)
def archive_item(*, item_id: int, by: Any, at: datetime) -> Item:
    """Put an item away; one that lies in the yard stays."""
    item = Item.objects.select_for_update(no_key=True).get(pk=item_id)
    if item.lots.filter(on_hand__gt=0).exists():
        raise ServiceError(f"Some of {item} is still in the yard.", code="there")
    if item.archived_at is None:
        item.archived_at = at
        item.save(update_fields=["archived_at"])
        post_event(verb="catalogue.archive", subject=item, by=by, at=at)
    return item


# -- substitutes ---------------------------------------------------------------------------------


def check_stand_in(item: Item, stand_in: Item) -> None:
    """Refuse what cannot stand in mass for mass, at the field `stand_in`."""
    why = ""
    if stand_in.pk == item.pk:
        why = "An item does not stand in for itself."
    elif stand_in.archived_at is not None:
        why = f"{stand_in} was put away."
    elif (stand_in.kind, stand_in.base_unit) != (item.kind, item.base_unit):
        why = (
            f"{stand_in} is {stand_in.get_kind_display()} counted in {stand_in.base_unit}; only "
            f"{item.get_kind_display()} counted in {item.base_unit} can stand in for {item}."
        )
    elif (stand_in.part_a_g, stand_in.part_b_g) != (item.part_a_g, item.part_b_g):
        why = f"A kit of {stand_in} has other masses than one of {item}: its mix would be another."
    if why:
        raise ServiceError(why, field="stand_in")


def post_substitutes(*, item: Item, stand_ins: Sequence[Item], by: Any, at: datetime) -> None:
    """Make these all that may stand in for a locked item, the first first; in the caller's
    transaction. Does nothing where they are these already."""
    assert_in_transaction()
    rows = list(item.substitutes.select_related("stand_in"))
    if [row.stand_in_id for row in rows] == [each.pk for each in stand_ins]:
        return
    there = {row.stand_in_id for row in rows}
    for n, stand_in in enumerate(stand_ins):
        if stand_in.pk in {each.pk for each in stand_ins[:n]}:
            raise ServiceError(f"{stand_in} is named twice.", field="stand_in")
        if stand_in.pk not in there:
            check_stand_in(item, stand_in)
    item.substitutes.all().delete()
    Substitute.objects.bulk_create(
        Substitute(item=item, stand_in=each, position=n) for n, each in enumerate(stand_ins)
    )
    post_event(
        verb="catalogue.substitutes", subject=item, by=by, at=at,
        before={"stand-ins": ", ".join(row.stand_in.code for row in rows)},
        after={"stand-ins": ", ".join(each.code for each in stand_ins)},
    )  # fmt: skip


def lock_item(item_id: int) -> tuple[Item, list[Item]]:
    """Lock an item and return it with what may stand in for it, the first first."""
    item = Item.objects.select_for_update(no_key=True).get(pk=item_id)
    return item, [row.stand_in for row in item.substitutes.select_related("stand_in")]


@transaction.atomic(durable=True)
def add_substitute(*, item_id: int, stand_in_id: int, by: Any, at: datetime) -> Item:
    """Let an item stand in for another where the other is short; it is asked last."""
    item, there = lock_item(item_id)
    stand_in = Item.objects.filter(pk=stand_in_id).first()
    if stand_in is None:
        raise ServiceError("This item is not in the book.", field="stand_in")
    if stand_in in there:
        raise ServiceError(f"{stand_in} stands in for {item} already.", field="stand_in")
    post_substitutes(item=item, stand_ins=[*there, stand_in], by=by, at=at)
    return item


@transaction.atomic(durable=True)
def remove_substitute(*, item_id: int, stand_in_id: int, by: Any, at: datetime) -> Item:
    """Let an item no longer stand in; what is reserved or issued of it stays. Twice is no error."""
    item, there = lock_item(item_id)
    left = [each for each in there if each.pk != stand_in_id]
    post_substitutes(item=item, stand_ins=left, by=by, at=at)
    return item


@transaction.atomic(durable=True)
def ask_substitute_first(*, item_id: int, stand_in_id: int, by: Any, at: datetime) -> Item:
    """Put a stand-in before the others, which keep their order."""
    item, there = lock_item(item_id)
    there.sort(key=lambda each: each.pk != stand_in_id)
    post_substitutes(item=item, stand_ins=there, by=by, at=at)
    return item


# -- blends --------------------------------------------------------------------------------------


def check_card(values: dict[str, Any], components: Components) -> None:
    """Refuse a card that the engine refuses, in its words; yield and density agree within 1 %."""
    kit: Item = values["kit"]
    if kit.kind != ItemKind.KIT:
        raise ServiceError(f"{kit} is no kit.", field="kit")
    if not components:
        raise ServiceError("A blend needs one stone or more.", field="item_1")
    if len({item.pk for item, _ in components}) < len(components):
        raise ServiceError("Each stone or filler stands once on a card.", field="item_1")
    for item, _ in components:
        if not item.pack_mass_g:
            raise ServiceError(f"The mass of a bag of {item} is not known.", field="item_1")
    if (values["yield_area_m2"] is None) != (values["yield_depth_mm"] is None):
        raise ServiceError("A yield is an area and its depth: give both.", field="yield_area_m2")
    try:
        card(
            kit=kit, components=components, yield_area_m2=values["yield_area_m2"],
            yield_depth_mm=values["yield_depth_mm"], compacted_density=values["compacted_density"],
        )  # fmt: skip
    except EngineError as error:
        sentence = error.message[:1].upper() + error.message[1:]
        raise ServiceError(f"{sentence}.", field="yield_area_m2") from error


def keep_components(blend: Blend, components: Components) -> None:
    """Write what goes into a mix, in place of what was there."""
    blend.components.all().delete()
    BlendComponent.objects.bulk_create(
        BlendComponent(blend=blend, item=item, bags=bags) for item, bags in components
    )


@transaction.atomic(durable=True)
def add_blend(*, components: Components, by: Any, at: datetime, **values: Any) -> Blend:
    """Add a blend card."""
    return post_blend(components=components, by=by, at=at, **values)


def post_blend(*, components: Components, by: Any, at: datetime, **values: Any) -> Blend:
    """Add a blend card, in the caller's transaction."""
    assert_in_transaction()
    check_card(values, components)
    blend = Blend(**values)
    blend.full_clean()
    blend.save()
    keep_components(blend, components)
    post_event(verb="catalogue.add_blend", subject=blend, by=by, at=at, after=values)
    return blend


@transaction.atomic(durable=True)
def change_blend(
    *, blend_id: int, version: int, components: Components, by: Any, at: datetime, **values: Any
) -> Blend:
    """Change a blend card; quotes that were sent keep what they were reckoned with."""
    blend = lock_version(Blend, blend_id, version)
    return post_blend_change(blend=blend, components=components, by=by, at=at, **values)


def post_blend_change(
    *, blend: Blend, components: Components, by: Any, at: datetime, **values: Any
) -> Blend:
    """Change a blend card that the caller has locked, in his transaction."""
    assert_in_transaction()
    check_card(values, components)
    before, after = changes(blend, values)
    before["components"] = "; ".join(str(row) for row in blend.components.select_related("item"))
    for name, value in values.items():
        setattr(blend, name, value)
    blend.version += 1
    blend.full_clean()
    blend.save()
    keep_components(blend, components)
    after["components"] = "; ".join(f"{bags} × {item}" for item, bags in components)
    post_event(
        verb="catalogue.change_blend", subject=blend, by=by, at=at, before=before, after=after
    )
    return blend


# -- places --------------------------------------------------------------------------------------


@transaction.atomic(durable=True)
def add_place(*, kind: str, name: str, near: int = 50, by: Any, at: datetime) -> Place:
    """Add a bay or a van."""
    if kind not in {PlaceKind.BAY, PlaceKind.VAN}:
        raise ServiceError(
            "Bays and vans are added here; the others make themselves.", field="kind"
        )
    place = Place(kind=kind, name=name.strip(), near=near)
    place.full_clean(exclude=["job"])
    place.save()
    post_event(verb="catalogue.add_place", subject=place, by=by, at=at)
    return place


@transaction.atomic(durable=True)
def change_place(
    *, place_id: int, name: str, near: int, archived: bool, by: Any, at: datetime
) -> Place:
    """Rename a bay or van, or put it away once it is empty; its kind stays."""
    place = Place.objects.select_for_update(no_key=True).get(pk=place_id)
    if archived and place.balances.filter(quantity__gt=0).exists():
        raise ServiceError(f"Something still lies in {place}.", field="archived")
    values: dict[str, Any] = {
        "name": name.strip(), "near": near,
        "archived_at": (place.archived_at or at) if archived else None,
    }  # fmt: skip
    before, after = changes(place, values)
    for field, value in values.items():
        setattr(place, field, value)
    place.full_clean(exclude=["job"])
    place.save()
    post_event(
        verb="catalogue.change_place", subject=place, by=by, at=at, before=before, after=after
    )
    return place
